"""Words of the round: kinds of events that can be chosen, and what the page's script says."""

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

# What is stored, and the words for it.
EVENTS = (
    ("note", gettext_lazy("a note")), ("water change", gettext_lazy("water change")), ("dose", gettext_lazy("dose")),
    ("trim", gettext_lazy("plants trimmed")), ("clean", gettext_lazy("glass or filter cleaned")), ("feed", gettext_lazy("fed")),
    ("animals", gettext_lazy("animals put in, moved or lost")), ("failure", gettext_lazy("a device failed")),
    ("moved", gettext_lazy("something was moved")), ("other", gettext_lazy("something else")),
)  # fmt: skip


def script_words() -> dict[str, str]:
    """Sentences that the script of the round shows; {n} and the like stand for what it fills in."""
    return {
        "all_stored": _("Everything you entered is stored."), "nothing": _("Nothing entered yet."), "sending": _("Sending {n} …"),
        "wait_one": _("1 entry waits for the connection. It is kept on this phone and sent by itself."),
        "wait_many": _("{n} entries wait for the connection. They are kept on this phone and sent by themselves."),
        "look_one": _("1 entry needs a look: see {where}."), "look_many": _("{n} entries need a look: see {where}."),
        "typing": _("Not sent yet."), "stored": _("stored"), "waits": _("waits for the connection"),
        "retry": _("Try again"), "remove": _("Leave it out"), "keep": _("Yes, {value} is right"),
        "change": _("No, let me change it"), "use_round": _("Use the time of this round"), "last_was": _("{value}? The last was {last}."),
        "unusual": _("{value}? That is unusual."), "what_read": _("What was it that was read? Name it, or empty the value."),
        "next": _("Next: {unit}"), "finish": _("Finish the round"),
        "minutes": _("{n} min so far"), "just_begun": _("just begun"), "done": _("The round took {n} min."),
        "done_short": _("The round took less than a minute."),
        "ended_waits": _("What waits is sent as soon as there is a connection. Leave this page open, or open it again later."),
        "unit_bar": _("{unit}: {there} of {wanted} there"),
        "unit_free": _("{unit}: nothing is wanted, {there} entered"),
        "open_again": _("This page was open too long. Load it again: what you typed is kept and sent then."),
        "no_room": _("This phone keeps nothing for pages (a private window?). Do not leave the page before everything is stored."),
        "photo_of": _("photo of {unit}"), "its_page": _("Its page"),
        "damaged": _("This photo is stored, but cannot be shown: its file is damaged. Take it again. On its page it can be taken away."),
    }  # fmt: skip
