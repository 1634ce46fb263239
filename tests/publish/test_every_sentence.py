"""Everything that is said about a finding, over all designs, scales and sizes: whole sentences, and none of the words that mislead."""

import re

from judged_trials import found

from checking import every
from fairtank.publish.assumptions import assumptions
from fairtank.publish.explain import how_computed
from fairtank.publish.phrases import plain_text
from fairtank.publish.sentences import sentence
from fairtank.publish.settling_words import settling_words

DESIGNS = [("side_by_side", "mean"), ("side_by_side", "slope"), ("side_by_side", "threshold"), ("run_in", "change"), ("swap", "swap"),
           ("pairs", "mean"), ("rounds", "mean")]
THRESHOLDS = {"logit": 18.0, "log": 14.0, "identity": 41.0}
# Words that promise more than an interval holds, and traces of values that were not there.
MISLEADING = re.compile(r"significan|\bproves?\b|proven|no difference\b(?! at)|\bNone\b|\bnan\b|\binf\b|not known|\bthe the\b|  |\.\.|,,|"
                        r" \.", re.IGNORECASE)


@every("scale", ["logit", "log", "identity"])
@every(("kind", "summary"), DESIGNS)
def test_it_is_said_in_whole_sentences(kind, summary, scale):
    grades = set()
    for n, effect, sd, margin in (((1, 1), -0.5, 0.3, 0.4), ((2, 2), -0.5, 0.3, 0.4), ((4, 4), -0.3, 0.4, 0.4), ((4, 4), -0.3, 0.4, None),
                                  ((5, 5), -2.0, 0.1, 0.4), ((6, 6), 0.02, 0.1, 0.6), ((5, 5), -0.5, 0.12, None)):
        if summary == "slope":
            margin = None if margin is None else margin / 42
        one = found(kind, scale, summary, n=n, effect=effect, sd=sd, margin=margin,
                    threshold=THRESHOLDS[scale] if summary == "threshold" else None)
        grades.add(one.grade)
        for text in (sentence(one), settling_words(one), how_computed(one), *assumptions(one)):
            plain = plain_text(text)
            assert not MISLEADING.search(plain), plain
            assert plain == "" or (plain.endswith((".", ").")) and not plain[0].islower()), plain
        assert sentence(one)
        assert settling_words(one)
    assert len(grades) >= 2
