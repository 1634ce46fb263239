"""All worked examples, and those that are not among them."""

from inference.worked.arms import ARMS
from inference.worked.courses import COURSES
from inference.worked.many_arms import MANY_ARMS
from inference.worked.planning import PLANNING
from inference.worked.together import TOGETHER

# Heading of the page -> its examples.
TOPICS = {
    "Two arms, pairs and swaps": ARMS,
    "More than two arms": MANY_ARMS,
    "Days become one number per tank": COURSES,
    "Several measures, several people, several trials": TOGETHER,
    "What a trial can notice": PLANNING,
}
EXAMPLES = tuple(example for examples in TOPICS.values() for example in examples)

# Known worked examples that are left out -> why.
LEFT_OUT = {
    "Brunner and Munzel's test":
        "fairtank has no such function; people's scores become one number per tank and are judged like any measure.",
    "Planned looks with the constants of O'Brien and Fleming (2.040) or Pocock (2.413), and five looks at 1.96 (0.1417)":
        "fairtank shares the 5 % out over the looks, each share spent in full at its own look, which needs no such constant.",
    "The flow of the Nile, a mean with errors that follow one another": "fairtank never builds an interval on the days of one tank.",
    "The girth of orange trees as logistic curves":
        "fairtank calculates such curves and does not fit them; the girths serve above for the mean over time.",
    "A variance between trials by restricted likelihood": "fairtank uses Paule and Mandel's; what follows at a given one is above.",
}
