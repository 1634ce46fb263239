"""What each licence lets others do, in our own sentences; its name and its text are its makers' and stay as they are in every language."""

RIGHTS_REMAIN = "All rights remain with the keeper"
SHORT = {
    "CC-BY-4.0": "Anybody may copy, change and publish it, also for money, as long as they name the keeper and say what they changed.",
    "CC-BY-SA-4.0": "Anybody may copy, change and publish it, also for money, as long as they name the keeper, say what they changed, and "
                    "give what they made of it to others on the same terms.",
    "CC0-1.0": "Anybody may do with it whatever they like, and need not name anybody.",
    "none": "You may look at it and check it. Ask the keeper before you publish photos, tables or texts of it.",
}
