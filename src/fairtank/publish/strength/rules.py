"""What a sentence claims, by the parts that its words play: the same few rules for every language.

Each rule is a chain of parts (see `reading`) and the kind of claim that it makes. Who does it (the changed arm), to what (the measure), how
far it reaches (these tanks, others), how sure it is told: the words of each part stand in the tables, so that a new wording of the same
claim is read without a new rule. The order counts: words that a rule has taken are not read again by a later one.
"""

from typing import NamedTuple


class Rule(NamedTuple):
    """A chain of parts and what it claims.

    turned: what it claims under a negation, empty where a negation takes the claim away. needs: what else the sentence must tell: `arm`,
    `measure`, `topic` (an arm, a measure or what keepers change), `claim` (another claim) or `reach` (another claim, `the same` or `will`).
    unless_after, unless_before: no claim where a word of that part stands in front of it, or follows it.
    """

    kind: str
    chain: str
    turned: str = ""
    needs: str = ""
    unless_after: str = ""
    unless_before: str = ""


_ARM = "doer/actor"
_LIGHT = "adverb/auxiliary/have/soft/big/det/boost"  # words between an arm and its verb, or a verb and its object
_ACT = "plain/lowering/raising/slash/gone/win/halt/causing/affect/love/order"

RULES: tuple[Rule, ...] = (
    Rule("small", "not ~2 enough ~~7 count"),
    # Too small to matter, behind what says that nobody cares.
    Rule("small", "'hardly/barely/kaum' ~1 care"),
    Rule("absence", "auxiliary not adverb? care"),
    Rule("small", "zero ~2 thing ~~5 count"),
    Rule("small", "any ~2 thing be? too little ~~4 count"),
    Rule("small", "too ~1 little ~~6 count", "matters"),
    Rule("small", "too little", "matters", needs="measure", unless_before="much_of"),
    Rule("small", "less comma? than ~~7 count"),
    Rule("small", "negligible", "matters"),
    Rule("small", "little neither_way", unless_before="auxiliary"),
    Rule("small", "neither_way ~5 be adverb/nearly* tiny !than", "matters"),
    Rule("small", "adverb* det tiny neither_way", "matters", unless_before="auxiliary"),
    Rule("small", "not ~1 mattering", needs="topic", unless_before="conj"),
    Rule("small", "auxiliary not adverb? count", needs="topic", unless_before="conj"),
    Rule("small", "nearly det? alike !'as'", "matters", needs="topic"),
    Rule("small", "'hardly/barely/scarcely/kaum' less/more/lowering/differ", "matters", needs="topic"),
    Rule("small", "nearly neither_way", "matters", needs="topic"),
    Rule("small", "not det? ~1 size_adjective neither_way"),
    Rule("small", "rule_out ~4 neither_way"),
    # Nothing at all.
    Rule("absence", "zero adverb/significant/real/boost/size_adjective* neither_way !count", unless_after="near"),
    Rule("absence", "measure auxiliary not ~2 plain/love/care/give", needs="topic"),
    Rule("absence", "not ~3 any neither_way !count"),
    Rule("absence", "same prep ~1 measure"),
    Rule("absence", "identical !place/plain"),
    Rule("absence", "identical amount/measure"),
    Rule("absence", "exact? det? same !'plants/plant/pflanzen' amount/measure", needs="topic"),
    Rule("absence", "changed/reference conj changed/reference ~~3 same"),
    Rule("absence", "be/both ~3 det? same $", needs="topic"),
    Rule("absence", "exact same", needs="topic"),
    Rule("absence", "adverb? bring/auxiliary ~3 nothing !'can/is/was/are/left/else/more'", needs="topic"),
    Rule("absence", "exact nothing"),
    Rule("absence", "nothing happen", needs="topic"),
    Rule("absence", "'neither' ~5 neither_way"),
    Rule("absence", "'play/plays/played/spielt/spielte/spielen' ~4 zero ~1 'role/part/rolle'"),
    Rule("absence", "useless"),
    Rule("absence", "not ~2 care", needs="measure"),
    Rule("absence", "indifferent comma? conj ~3 means/changed"),
    Rule("absence", "not ~1 count conj ~3 means/changed"),
    Rule("absence", "indifferent !comma !'which/what/how/wie/welche/welches/was/wer'", needs="topic"),
    Rule("certainty", "never fail"),
    Rule("certainty", "fail never"),
    Rule("absence", "doer/changed ~4 fail"),
    Rule("absence", "not ~3 harm", needs="topic"),
    Rule("absence", "harm not", needs="topic"),
    # All of it.
    Rule("absolute", "'nie/niemals/never' ~4 again"),
    Rule("absolute", "never measure"),
    Rule("absolute", "zero measure ~2 again"),
    Rule("absolute", "zero measure ~1 'left'"),
    Rule("absolute", "zero measure $"),
    Rule("absolute", "'zero' measure"),
    Rule("absolute", "bye ~2 measure", needs="measure"),
    Rule("absolute", "measure bye"),
    Rule("absolute", "measure 'out/raus/away' $"),
    Rule("absolute", "measure free"),
    Rule("absolute", "gone", needs="topic"),
    Rule("absolute", "halt ~2 measure"),
    Rule("absolute", "measure ~3 halt"),
    Rule("absolute", "cure remedy_for ~2 measure"),
    Rule("absolute", "be det cure", needs="topic"),
    # How sure it is.
    Rule("significant", "significant", "significant"),
    Rule("certainty", "sure", unless_before="nothing"),
    Rule("certainty", "'what' 'else' $"),
    Rule("certainty", "'no/keine/ohne' 'question/frage' $"),
    Rule("certainty", "^ we ~1 promise"),
    Rule("certainty", "we promise $"),
    Rule("certainty", "comma 'punkt/period/basta' $"),
    Rule("certainty", "not ~2 chance"),
    Rule("certainty", "too big ~3 chance"),
    Rule("certainty", "thing be adverb* real"),
    Rule("certainty", "thing be ~4 'echt'"),
    Rule("certainty", "science adverb? say_so", unless_before="prep"),
    Rule("certainty", "science adverb? backing ~2 changed"),
    Rule("certainty", "number '%' ~4 chance"),
    Rule("certainty", "measure/animals ~1 love"),
    Rule("certainty", "love ~1 measure"),
    Rule("certainty", "doer auxiliary auxiliary? it", "absence"),
    Rule("certainty", f"{_ARM}/it/changed !comma ~4 worked !'without/fine/ohne'", "absence"),
    Rule("certainty", "worked", "absence", needs="arm"),
    Rule("certainty", f"{_ARM}/it/changed adverb/auxiliary/not* works !'without/alone/only/out/where/fine/ohne/nur'", "absence"),
    Rule("certainty", "works", "absence", needs="arm"),
    Rule("certainty", f"{_ARM}/it/changed bring/auxiliary ~1 det job", "absence"),
    Rule("certainty", "^ actor ~2 works $", "absence"),
    Rule("certainty", "^ works/worked !'with/on/for/mit/an/out/without/only'", "absence"),
    # What others should do.
    Rule("advice", "advice", "advice"),
    Rule("advice", "people adverb* must", "advice", needs="topic"),
    Rule("advice", "every ~2 people/place ~3 must", "advice"),
    Rule("advice", "people ~~5 must", "advice", needs="topic"),
    Rule("advice", "you 'can/may/könnt/kannst' ~3 order ~3 means/changed/actor"),
    Rule("advice", "you 'könnt/kannst' ~2 means/changed ~2 plain"),
    Rule("advice", "must adverb? people", "advice", needs="topic"),
    Rule("advice", "you/your ~4 need ~2 changed/reference"),
    Rule("advice", "you/your ~4 changed/reference ~1 need"),
    Rule("advice", "not ~4 bother"),
    # For other tanks.
    Rule("general", "every ~3 place ~2 need"),
    Rule("general", "every plain/size_adjective/adverb/det/prep* place/people", needs="claim", unless_before="neutral"),
    Rule("general", "always", needs="claim"),
    Rule("general", "your ~2 place/measure", needs="reach"),
    Rule("general", "place_own", needs="reach"),
    Rule("general", "you adverb* will ~2 receive/give", needs="claim"),
    Rule("general", "you receive ~3 less/more/same/works/gone", needs="measure"),
    Rule("general", "will ~2 give ~1 you", unless_after="we"),
    Rule("general", f"it/{_ARM} will ~1 works/same"),
    Rule("general", "'for' you", needs="claim"),
    Rule("general", "valid ~3 always/every"),
    Rule("general", "be det 'universal'"),
    Rule("general", "always ~1 valid"),
    Rule("general", "measure ~1 need ~3 means/changed"),
    Rule("general", "you adverb* 'can/will' !'see/watch' ~1 receive ~3 measure"),
    Rule("general", "you adverb* 'kannst/könnt/wirst/werdet' det* measure place 'haben/bekommen/kriegen'"),
    Rule("general", "nobody need", needs="topic"),
    Rule("general", "need ~6 nobody", needs="topic"),
    Rule("general", "'no/without/kein/keine/ohne' changed/reference comma? zero"),
    Rule("general", "your place ~1 will"),
    Rule("general", "prep det* changed/reference ~1 you", needs="measure"),
    # Who wins.
    Rule("winner", "'never/nie' ~3 win", needs="topic"),
    Rule("winner", "never ~3 return ~3 changed/reference/means"),
    Rule("winner", "changed it be $"),
    Rule("winner", "changed/reference/means be 'in/out' $"),
    Rule("winner", "nothing ~2 win ~2 changed/means"),
    Rule("winner", f"{_ARM} bring ~3 good"),
    Rule("winner", "'tut' ~4 good", needs="topic"),
    Rule("winner", "zero/nothing 'better/besser/besseres/bessere/bessern'"),
    Rule("winner", "win", needs="topic"),
    Rule("winner", "winner"),
    Rule("winner", "win ~2 place"),
    Rule("winner", "changed/reference stop? number comma? measure stop? number"),
    # Why.
    Rule("cause", "thanks det? number/size_adjective? changed/means", "absence"),
    Rule("cause", "'down' 'to' det? changed/means", "absence"),
    Rule("cause", "thanks ~5 measure", "absence", needs="arm"),
    Rule("cause", f"{_ARM} adverb/auxiliary* did_it", "absence"),
    Rule("cause", f"{_ARM} be 's", "absence"),
    Rule("cause", "causing", "absence", needs="arm"),
    Rule("cause", "it be adverb/det* changed/means $", "absence"),
    Rule("cause", "therefore", needs="topic"),
    Rule("cause", "auxiliary ~3 'only/nur' ~4 changed/means"),
    Rule("cause", "changed be 'what'"),
    Rule("cause", "'erst/only' det changed ~6 measure"),
    Rule("cause", "less/more means comma? less/more"),
    Rule("cause", "means comma measure less $"),
    Rule("cause", "means comma less measure $"),
    Rule("cause", "because ~5 changed/means", needs="measure"),
    Rule("cause", f"because {_ARM}", needs="measure"),
    Rule("cause", "because it ~1 means", needs="measure"),
    Rule("cause", "measure ~4 since"),
    Rule("cause", "since ~5 measure"),
    # How large.
    Rule("matters", "measure ~3 not/zero ~3 'chance'"),
    Rule("matters", "thing comma? ~3 mattering", "small"),
    Rule("matters", "enough ~2 count", "small"),
    Rule("matters", "boost", "small"),
    Rule("matters", "big ~1 thing", "small", unless_after="as_much"),
    Rule("matters", "thing ~2 be adverb* size_adjective", "small"),
    Rule("matters", "thing ~2 be as_much size_adjective as_much", "small"),
    Rule("matters", "big adverb? less/more/win/lowering", "small", needs="topic", unless_after="as_much"),
    Rule("matters", "slash", needs="topic"),
    # Whether there is any.
    Rule("difference", "there be ~2 thing", "absence"),
    Rule("difference", "thing be ~4 'there/da'", "absence"),
    Rule("difference", "find adverb/we/you* 'a/an/the/some/this/einen/eine/ein/den/die' ~2 neither_way", "absence"),
    Rule("difference", "'that/this/diesen/dieser' adverb/big* 'difference/effect/unterschied/effekt'"),
    Rule("difference", "^ det 'difference/unterschied/effect/effekt' adverb* plain/say_so"),
    Rule("absolute", "'found/find/discovered' ~2 cure"),
    Rule("absolute", "cure 'gefunden/entdeckt'"),
    Rule("difference", "differ", "absence", needs="arm"),
    Rule("difference", "an_effect", "absence"),
    Rule("difference", "affect ~3 measure", "absence"),
    Rule("direction", "trend ~3 measure", "absence"),
    Rule("direction", "measure trend", "absence"),
)
# A doer, a verb of whatever kind, and the measure: `the dark break kicked the algae`, `die Pause hat die Algen besiegt`.
DEEDS = (
    f"{_ARM} {_LIGHT}* {_ACT} ~3 measure",
    f"{_ARM} have/auxiliary {_LIGHT}* measure adverb* {_ACT}",
    f"{_ARM} have 'the/die' measure",
    f"{_ARM} be det/plain/be* measure",
    f"{_ARM} det* measure ~1 {_ACT} $",
    f"doer {_LIGHT}* {_ACT} here/det* place",
    "doer adverb/auxiliary/have* plain adverb* prep? $",
    "doer have adverb/plain* plain $",
)
# The measure, a verb of whatever kind, and the change beside them: `algae had no chance against the dark break`.
SUFFERED = (
    f"prep det* changed/means/reference det* measure {_LIGHT}* {_ACT}",
    f"prep det* changed/means/reference be/have det* measure ~2 {_ACT} $",
    "have measure ~1 nothing/zero",
    f"conj det* plain? measure not/{_LIGHT}* {_ACT}",
    f"^ lead/conj/det* plain? measure not/{_LIGHT}* {_ACT}",
    "measure have ~4 zero plain/chance",
    "'since/seit' det* changed/means have/be/auxiliary/we* ~4 measure",
)
# What the change, or its tanks, are said to be, in whatever word: a flop, a success, presentable.
JUDGED = (
    "doer be !ordinary adverb* !ordinary plain $",
    "side place? be adverb/prep/det* !ordinary plain $",
    "doer be adverb* det ~2 plain/thing $",
    "doer be adverb* det ~2 plain 'to'",
    "be det* changed det ~2 plain/thing $",
)
# A verb that bids, at the beginning, and what was changed; and what is only good advice: not to copy, not to conclude.
ORDERS = (
    "^ lead* order ~5 changed/means/actor",
    "^ lead* order it 'and/und'",
    "^ lead* order it $",
    "^ lead* order it adverb* comma conj",
    "lead order ~5 changed/means",
    "comma order ~5 changed/means",
)
PRUDENT = ("^ ~2 not ~1 prudent", "^ ~1 prudent not", "^ lead* prudent ~3 not")
# What was not measured, and single days and tanks, which are chosen after looking.
OTHERS = ("unmeasured", "animals !measure ~4 wellbeing")
PARTS = (
    "'on/by/from/until/after/since/an/am/bis/ab' 'day/tag' number",
    "'in' det? 'last/first/final/second/third/letzten/ersten/zweiten/dritten' 'week/weeks/days/month/woche/wochen/tagen/monat'",
    "'in' adverb* number 'days/weeks/week/tagen/wochen'",
    "'in' 'week/woche' number",
    "'in' 'tank/tanks/becken' name",
    "'tank/becken' name",
    "'in/im' det? 'tall/small/left/right/upper/lower/front/back/linken/rechten/oberen/unteren/kleinen/großen' 'tank/tanks/becken'",
)
