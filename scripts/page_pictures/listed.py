"""The one list of pages to be pictured, by their place in the house."""

from typing import NamedTuple

WIDTHS, HEIGHTS, THEMES = (360, 1440), (1600, 1800), ("light", "dark")
SHELF, PLAN, BUILD, RUN, MEASURE, JUDGE, PUBLISH = "Shelf", "Plan", "Build", "Run", "Measure", "Judge", "Publish"
TABLE, TODAY, BENCH, TANKS, MATERIALS, SETTINGS = "Blind table", "Today", "Bench", "Tanks", "Materials", "Settings"
PHONES, JOBS, ACCOUNTS, REFUSALS, EMPTY = "Phones", "Jobs", "Accounts", "Refusals", "Empty states"
PLACES = (SHELF, TODAY, PLAN, BUILD, RUN, MEASURE, TABLE, JUDGE, PUBLISH,
          BENCH, TANKS, MATERIALS, SETTINGS, PHONES, JOBS, ACCOUNTS, REFUSALS, EMPTY)


class Page(NamedTuple):
    """One page in one state.

    name: of its files. route: the name of its address; of: what stands in that, as words for what the shelf holds (trials `midday`,
    `glass`, `running`, `planned`, `asked`, `blank`, and further keys). scene: how the pages run and who looks. steps: what is done on the
    page before it is pictured: what, where, with what. as_seen: pictured as the window shows it, not down to its end. refuses: it tells
    that there is nothing, or nothing for whoever asks.
    """

    name: str
    place: str
    title: str
    sentence: str
    route: str
    of: str = ""
    query: str = ""
    scene: str = "shelf"
    steps: tuple[tuple[str, str, str], ...] = ()
    as_seen: bool = False
    refuses: bool = False


PAGES = (
    Page("shelf", SHELF, "Shelf", route="shelf",
         sentence="All trials, each with its question, what was found, and where it stands."),
    Page("shelf-taken-away", SHELF, "Trials that were taken away", route="trash",
         sentence="What was taken off the shelf can be brought back for 30 days."),
    Page("trial", SHELF, "A trial that is over", route="trial", of="midday",
         sentence="The sentence, what comes next, and the way that the trial went."),
    Page("trial-running", SHELF, "A trial that runs", route="trial", of="running",
         sentence="What is due comes first; the arms stay hidden while photos are scored blind."),
    Page("trial-trail", SHELF, "What was changed in a trial", route="trail", of="running",
         sentence="Who changed what, and when; the latest first."),
    Page("folder", SHELF, "A trial folder as it lies on disk", route="folder", scene="folder",
         sentence="What a folder holds, shown without taking it onto the shelf."),

    Page("today", TODAY, "Today", route="today",
         sentence="What is due in all trials today, each tank by its name."),

    Page("plan-question", PLAN, "A question of the plan", route="plan_questions", of="asked",
         sentence="One question on a page; what was answered so far stands beside it."),
    Page("plan", PLAN, "The plan", route="plan", of="planned",
         sentence="The plan in words: the change, the tanks, what is measured and what would count as a difference."),
    Page("plan-text", PLAN, "The text of the plan", route="plan_text", of="planned",
         sentence="The same plan as the text of its file, to be changed by hand."),
    Page("even", PLAN, "How even", route="even", of="midday",
         sentence="Where the tanks differ by more than the change, as a matrix of factors by tanks."),
    Page("show", PLAN, "What it can show", route="show", of="planned",
         sentence="The smallest difference that so many tanks would notice, and what would help."),
    Page("forecast", PLAN, "How the tanks may go", route="forecast", of="midday",
         sentence="A model of such tanks, day by day, with what it cannot say."),
    Page("draw", PLAN, "Draw, before", route="draw", of="planned",
         sentence="How many ways the lot has, and what it keeps together."),
    Page("draw-drawn", PLAN, "Draw, done", route="draw", of="running", query="?arms=shown",
         sentence="Which tank the lot gave which arm, and how anybody can check it."),
    Page("draw-codes", PLAN, "Codes for the glass", route="draw_codes", of="running",
         sentence="Words for the glass that tell nobody the arm."),
    Page("seal", PLAN, "Seal, before", route="seal", of="planned",
         sentence="What the seal will fix, and what it cannot."),
    Page("seal-sealed", PLAN, "Seal, done", route="seal", of="running",
         sentence="When the plan was fixed, and the code that stands for it."),
    Page("seal-verify", PLAN, "What was changed since the seal", route="seal_verify", of="running",
         sentence="Whether the plan is still as it was sealed."),
    Page("schedule", PLAN, "Schedule", route="schedule", of="running",
         sentence="What is to be done on which day; a calendar for the phone."),
    Page("schedule-chore", PLAN, "A chore", route="schedule_chore", of="planned_setup", query="?key=water_change",
         sentence="One chore of the schedule: what, how often, how much."),

    Page("build", BUILD, "Build sheet", route="build", of="midday",
         sentence="What each tank shall receive: a cross-section of it first, then the amounts."),
    Page("build-setup", BUILD, "The setup", route="build_setup", of="planned_setup",
         sentence="What goes into the glass, line by line, alike in every tank."),
    Page("build-tanks", BUILD, "Which tank stands where", route="build_tanks", of="planned_setup",
         sentence="The tanks of this trial, out of the keeper's own."),
    Page("build-line", BUILD, "One line of the setup", route="build_line", of="planned_setup layer zero",
         sentence="One layer, plant, dose or device."),
    Page("build-text", BUILD, "The text of the setup", route="build_text", of="planned_setup",
         sentence="The same setup as the text of its file."),
    Page("build-weigh", BUILD, "Weigh in", route="build_weigh", of="midday",
         sentence="How far each tank is weighed in."),
    Page("build-weigh-unit", BUILD, "Weigh in one tank", route="build_weigh_unit", of="midday T2",
         sentence="What was planned for it and what the scales said."),
    Page("equal", BUILD, "What each tank has", route="equal", of="midday",
         sentence="All that is known of what should be alike: light, place, age of the lamp."),
    Page("equal-factor", BUILD, "One factor in every tank", route="equal_factor", of="planned lamp_age",
         sentence="One thing that should be alike, entered for all tanks."),

    Page("round", RUN, "Round", route="round", of="running", as_seen=True,
         sentence="One visit to the tanks with one thumb: photo, readings, chores, a note."),
    Page("diary", RUN, "Diary", route="diary", of="running",
         sentence="All that was recorded, day by day, as it happened."),
    Page("diary-add", RUN, "Something happened", route="diary_add", of="running",
         sentence="An event, or a slip and what follows from it for the judging."),
    Page("diary-entry", RUN, "One entry of the diary", route="diary_entry", of="running event event_key",
         sentence="What was entered can be put right or taken back, with a reason."),
    Page("deviations", RUN, "What does not count", route="deviations", of="running",
         sentence="Days or tanks that are left out of the judging, each with its reason."),
    Page("readings", RUN, "Readings", route="readings", of="running", query="?quantity=nitrate",
         sentence="One quantity of all tanks as a chart and a table."),
    Page("readings-import", RUN, "Readings from a table", route="readings_import", of="running",
         sentence="Paste cells of a spreadsheet, or choose a file."),
    Page("readings-import-look", RUN, "What was understood of a table", route="readings_import_look", of="running sheet",
         sentence="Each column with what it was taken for, before anything is stored."),
    Page("watch", RUN, "Drift", route="watch", of="midday",
         sentence="Whether the tanks part in anything but the change."),

    Page("wall", MEASURE, "Strip wall", route="wall", of="midday", as_seen=True,
         sentence="One row for each tank, one column for each day."),
    Page("compare", MEASURE, "Two tanks on one day", route="compare", of="midday",
         query="?left_unit=T1&left_day=36&right_unit=T2", as_seen=True,
         sentence="Two photos on top of each other, with a slider between them."),
    Page("photo", MEASURE, "A photo", route="photo", of="midday photo",
         sentence="What was read from one photo, and what was counted as what."),
    Page("frames", MEASURE, "Frames", route="frame", of="midday",
         sentence="Which tank has its frame, each drawn on one photo."),
    Page("frame", MEASURE, "A frame", route="frame_unit", of="midday unit",
         sentence="Four corners and the size of the glass, drawn on a photo."),
    Page("labels", MEASURE, "Strokes", route="labels", of="midday",
         sentence="What was painted so far, and the way to the next photo."),
    Page("labels-paint", MEASURE, "Paint a photo", route="labels_photo", of="midday painted",
         sentence="A few strokes teach what is plant, algae and background."),
    Page("audit", MEASURE, "Audit points", route="audit", of="midday",
         sentence="What stands at this point? Neither tank nor day is told."),

    Page("blind", TABLE, "Who sits at the table", route="blind", of="running",
         sentence="Who judges what, how far they are, and their links."),
    Page("blind-table", TABLE, "Score a photo", route="blind_table", of="running seat", as_seen=True,
         sentence="One photo and a scale, answered by keyboard or thumb."),
    Page("rate", TABLE, "Choose between two photos", route="rate", of="link", scene="link", as_seen=True,
         sentence="What the link of a rater opens, and nothing else."),
    Page("rate-over", TABLE, "A link that is over", route="rate", of="no_link", scene="link", refuses=True,
         sentence="A link that was taken back opens nothing."),

    Page("finding", JUDGE, "Finding", route="finding", of="midday",
         sentence="The sentence first, then the picture, then the table, then how it was computed."),
    Page("finding-alone", JUDGE, "A finding of one tank each", route="finding", of="glass",
         sentence="One tank for each arm cannot tell, and the page says so."),
    Page("finding-not-yet", JUDGE, "Nothing is told before the end", route="finding", of="running",
         sentence="While a trial runs nothing is shown that the plan did not provide for."),

    Page("publish", PUBLISH, "Report and files", route="publish", of="midday",
         sentence="What others need to check the trial or to repeat it."),
    Page("pool", PUBLISH, "Several trials together", route="pool", scene="pool",
         sentence="Finished trials that one measure decides, to be taken together."),
    Page("pooled", PUBLISH, "What they say together", route="pooled", of="pooled", scene="pool",
         sentence="The sentence of all of them, one mark for each trial, and how far they differ."),

    Page("bench", BENCH, "Bench", route="bench",
         sentence="All calculators by topic."),
    Page("calculator", BENCH, "A calculator", route="calculator", of="calculator",
         sentence="What it takes, an answer with its interval, a picture, and the sources."),
    Page("claim", BENCH, "A claim check", route="calculator", of="claim",
         sentence="A rule of the trade beside what is known of it."),

    Page("tanks", TANKS, "Tanks", route="tanks",
         sentence="The keeper's tanks, written down once."),
    Page("tank", TANKS, "A tank", route="tank", of="tank",
         sentence="Its sizes, what it holds as a drawing, and its history."),
    Page("tank-new", TANKS, "A new tank", route="tank_new",
         sentence="Sizes of the glass; the drawing follows as they are typed."),

    Page("materials", MATERIALS, "Materials", route="materials",
         sentence="What the keeper has: soils, plants, salts, with packs and prices."),
    Page("material", MATERIALS, "A material", route="material", of="material",
         sentence="What is known of one material."),
    Page("material-new", MATERIALS, "A new material", route="material_new",
         sentence="Which kind it is decides what is asked."),

    Page("settings", SETTINGS, "Settings", route="settings",
         sentence="Units, backups, and where everything is kept."),
    Page("settings-taken-away", SETTINGS, "Taken away lately", route="settings_trash",
         sentence="Rows of every kind that can be brought back."),

    Page("phones-paired", PHONES, "Phones of the home network", route="phones", scene="lan",
         sentence="Which phones are paired, and until when."),
    Page("phones-code", PHONES, "A code for a phone", route="phones", scene="lan",
         sentence="A symbol for its camera, and the code to type; it holds for some minutes.",
         steps=(("click", "form[action$='/code/'] button", ""),)),
    Page("pair", PHONES, "Pair a phone", route="pair", scene="stranger",
         sentence="What a phone that is not paired sees."),
    Page("today-phone", PHONES, "Today, on a paired phone", route="today", scene="phone",
         sentence="A phone sees trials and rounds, and nothing to manage."),

    Page("jobs", JOBS, "Work behind the pages", route="jobs",
         sentence="What is worked out now, and what was lately."),
    Page("job", JOBS, "Work under way", route="job", of="job", scene="working",
         sentence="How far it is, how long it may still take, and how to stop it."),
    Page("job-over", JOBS, "Work that is over", route="job", of="job_over",
         sentence="What came of it."),

    Page("login", ACCOUNTS, "Log in", route="login", scene="closed",
         sentence="Where an installation is hosted for a club."),
    Page("invited", ACCOUNTS, "Invited", route="invited", scene="closed",
         sentence="What an invitation opens."),
    Page("account", ACCOUNTS, "Your account", route="account", scene="owner",
         sentence="The trials that one was let into, and the password."),
    Page("accounts", ACCOUNTS, "All accounts", route="accounts", scene="owner",
         sentence="Who has an account, for those who look after the installation."),
    Page("members", ACCOUNTS, "Members of a trial", route="members", of="running", scene="owner",
         sentence="Who is what in a trial, and who is invited."),

    Page("refused-login", REFUSALS, "A wrong password", route="login", scene="closed",
         sentence="What was wrong, beside the field.",
         steps=(("fill", "input[name=name]", "mira"),
                ("fill", "input[name=password]", "not this one"),
                ("press", "input[name=password]", "Enter"))),
    Page("refused-answer", REFUSALS, "An answer that cannot be", route="plan_questions", of="asked", query="?at=tanks",
         sentence="What stands there, what may stand there.",
         steps=(("fill", "main form [name=answer]", "many"),
                ("press", "main form [name=answer]", "Enter"))),
    Page("refused-phone", REFUSALS, "Not for a phone", route="settings", scene="phone", refuses=True,
         sentence="A paired phone asked for the settings, which it may not change."),
    Page("not-there", REFUSALS, "Nothing here", route="trial", of="no_trial", refuses=True,
         sentence="An address that leads nowhere."),

    Page("empty-shelf", EMPTY, "An empty shelf", route="shelf", scene="empty",
         sentence="It teaches what a trial is, and offers the first."),
    Page("empty-today", EMPTY, "Nothing due", route="today", scene="empty",
         sentence="No trial runs yet."),
    Page("empty-tanks", EMPTY, "No tanks yet", route="tanks", scene="empty",
         sentence="What a tank is written down for."),
    Page("empty-trial", EMPTY, "A trial without a plan", route="trial", of="blank",
         sentence="What comes first."),
    Page("empty-round", EMPTY, "No round yet", route="round", of="blank",
         sentence="The plan comes first."),
    Page("empty-diary", EMPTY, "Nothing recorded", route="diary", of="blank",
         sentence="The plan comes first."),
    Page("empty-frames", EMPTY, "No photo to draw a frame on", route="frame", of="planned",
         sentence="A frame is drawn on a photo."),
    Page("empty-labels", EMPTY, "No photo to paint", route="labels", of="planned",
         sentence="Strokes are painted on photos."),
    Page("empty-finding", EMPTY, "Nothing to judge yet", route="finding", of="blank",
         sentence="A finding needs a plan and values."),
)
