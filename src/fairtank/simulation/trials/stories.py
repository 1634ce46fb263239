"""What the example trials are about. Tanks, keepers, places, numbers and effects are invented, and every title says so."""

from dataclasses import dataclass, replace

from fairtank.simulation.trials.world import NEW_TANKS, Effect, World

# Plants fill in more evenly than algae, and from more on.
PLANTS = World(start_logit=-1.4, rate_logit_d=0.055, onset_d=2.0, level_sd=0.30, lasting_rate_sd=0.005, period_rate_sd=0.003, day_sd=0.12,
               room_sd=0.06, photo_sd=0.08)
_FASTER, _SLOWER, _NONE = Effect(0.030), Effect(-0.045), Effect()


@dataclass(frozen=True)
class Story:
    """The words of one example trial and what happens in it.

    title, question, change, reference, rationale, keeper, place: as in a plan. arm_names: of the arms, in the plan's order. expect: what
    the keeper expects. measure: key of the primary measure, in %. margin: the smallest difference that matters, None if none was fixed.
    world, effects: what its tanks are like, and what each change does.
    """

    title: str
    question: str
    change: str
    reference: str
    rationale: str
    keeper: str
    place: str
    arm_names: tuple[str, ...]
    expect: str = "either"
    measure: str = "algae_cover"
    margin: float | None = 0.5
    world: World = NEW_TANKS
    effects: tuple[Effect, ...] = (_NONE,)


STORIES = {
    "side_by_side": Story(
        "Floating plants over half the water", "Do floating plants over half of the surface leave less algae?",
        "floating plants over half of the surface", "open surface", "It is said that shade and hungry roots starve the algae.",
        "Tavrin Oskellow", "a spare room in Umbrenholt", ("open surface", "floating plants"), "less", effects=(_SLOWER,)),
    "two_each": Story(
        "Moss on the wood or on the stone", "Does moss tied to wood leave more algae than moss tied to stone?", "moss on wood",
        "moss on stone", "A neighbour swears that wood feeds algae.", "Ilvane Prosk", "a stairwell in Ostrevel", ("stone", "wood"),
        effects=(_FASTER,)),
    "one_each": Story(
        "Leaf litter on the floor", "Does leaf litter on the floor leave less algae?", "a layer of dried leaves", "bare sand",
        "Brown water is said to be clear of algae.", "Merrowin Quade", "a kitchen shelf in Dallerby", ("bare sand", "leaf litter"), "less",
        effects=(_SLOWER,)),
    "one_each_earlier": Story(
        "A finer sponge before the filter", "Does a finer sponge leave less algae?", "a fine sponge", "a coarse sponge",
        "Two tanks stood empty after earlier trials of the same kind.", "Merrowin Quade", "a kitchen shelf in Dallerby",
        ("coarse sponge", "fine sponge"), "less", effects=(_SLOWER,)),
    "run_in": Story(
        "An hour less light after two weeks alike", "Does an hour less light per day leave less algae?", "7 h light per day",
        "8 h light per day", "The tanks were watched for two weeks first, because one of them always was the greener one.",
        "Beltis Arnhault", "a cellar in Ostrevel", ("8 h", "7 h"), "less", effects=(_SLOWER,)),
    "swap": Story(
        "Stronger flow, then the other way round", "Does a stronger flow leave less algae?", "pump at full speed", "pump at half speed",
        "On day 28 all glass was cleaned, the water changed, and the pumps were swapped.", "Sorrel Vantongue", "a workshop in Ketterlune",
        ("half speed", "full speed"), "less", effects=(_SLOWER,)),
    "pairs": Story(
        "A white sheet behind the tank, shelf by shelf", "Does a white sheet behind the tank make the carpet close sooner?",
        "white sheet behind the tank", "dark sheet behind the tank", "Each shelf holds two tanks under one lamp.",
        "Iggren Dolmay", "a garage in Umbrenholt", ("dark sheet", "white sheet"), "more", measure="carpet_cover", margin=0.3,
        world=replace(PLANTS, place_sd=0.4), effects=(Effect(0.012),)),
    "rounds": Story(
        "Two tanks, six rounds", "Does a weekly change of half the water leave less algae than a quarter?", "half of the water per week",
        "a quarter of the water per week", "There are only two tanks, but there is time: six rounds of four weeks, each set up anew.",
        "Nerys Okkeldam", "a balcony room in Dallerby", ("a quarter", "half"), "less", effects=(_SLOWER,)),
    "drawn_start": Story(
        "A dimmer lamp from a drawn day on", "Does a lamp at two thirds leave less algae in these two tanks?", "lamp at two thirds",
        "lamp at full", "Two tanks and no earlier ones: the lot named the tank and the day.", "Quill Estermark", "an attic in Ketterlune",
        ("full", "two thirds"), "less", margin=None, world=World(start_logit=-1.2, rate_logit_d=0.004, onset_d=0.0, onset_sd_d=0.0,
                                                                 lasting_rate_sd=0.003, period_rate_sd=0.003),
        effects=(Effect(level_logit=-1.1, fade_d=0.0),)),
    "three_arms": Story(
        "No shrimps, ten, or twenty", "Do shrimps leave less algae, and do more shrimps leave still less?", "ten or twenty shrimps",
        "no shrimps", "Both numbers are recommended; nobody could say on what ground.", "Fenwick Tarrabose", "a hall in Ostrevel",
        ("none", "ten", "twenty"), "less", effects=(Effect(-0.02), Effect(-0.05))),
    "ladder": Story(
        "How much potassium", "Does more potassium make the carpet close sooner?", "potassium, step by step", "no potassium added",
        "Four steps instead of one guess.", "Ulla Brennick", "a glass house in Umbrenholt",
        ("0 mg/L", "5 mg/L", "10 mg/L", "20 mg/L"), "more", measure="carpet_cover", margin=None, world=PLANTS,
        effects=(Effect(0.0015),)),
    "two_changes": Story(
        "Shorter light and floating plants", "Does shorter light, do floating plants, and does one need the other?",
        "6 h light, floating plants, or both", "8 h light, open surface", "Both are recommended, mostly together.",
        "Osmer Kallendine", "a shed in Dallerby", ("neither", "short light", "floating plants", "both"), "less",
        effects=(Effect(-0.04), Effect(-0.02))),
    "slope": Story(
        "Stronger light for the carpet", "Does stronger light make the carpet close faster?", "light a third stronger", "usual light",
        "What counts is how fast it closes, not how it stood at the start.", "Jorun Applewhit", "a cellar in Ketterlune",
        ("usual light", "stronger light"), "more", measure="carpet_cover", margin=0.01, world=PLANTS, effects=(Effect(0.02),)),
    "threshold": Story(
        "Days until the carpet covers half", "Does a richer base make the carpet cover half of the floor sooner?", "rich base",
        "plain sand", "Half covered is when the trimming starts.", "Jorun Applewhit", "a cellar in Ketterlune",
        ("plain sand", "rich base"), "more", measure="carpet_cover", margin=None, world=PLANTS, effects=(Effect(0.03),)),
}
