"""English words by the kind of claim that they make: patterns over plain text, the longer ones before the words inside them.

needs: what else a sentence must speak of before the words are a claim: `arm` (an arm, the change, or a word for it), `measure`, `topic` (an
arm or a measure), `claim` (something else in the sentence that claims), or nothing.
"""

import re
from typing import NamedTuple


class Rule(NamedTuple):
    """Words that make a kind of claim; turned: the kind that they make under a negation, empty where a negation takes the claim away."""

    kind: str
    pattern: re.Pattern[str]
    needs: str = ""
    turned: str = ""


def rule(kind: str, words: str, needs: str = "", turned: str = "") -> Rule:
    """A rule from words that may stand anywhere, in any case."""
    return Rule(kind, re.compile(rf"(?<![\w-])(?:{words})(?![\w])", re.IGNORECASE), needs, turned)


_BIG = (r"big|huge|massive(?:ly)?|large|dramatic(?:ally)?|enormous(?:ly)?|striking(?:ly)?|noticeabl[ey]|visibl[ey]|impressive(?:ly)?|"
        r"substantial(?:ly)?|considerabl[ey]|strong(?:ly)?|clear(?:ly)?|obvious(?:ly)?|major|amazing(?:ly)?|incredibl[ey]|insane(?:ly)?|"
        r"great|drastic(?:ally)?|vast(?:ly)?|far|much|way|a lot|so much|tons|loads|hugely|really|meaningful(?:ly)?")
_THING = (r"differences?|effects?|changes?|impact|influence|improvement|benefit|reduction|increase|decrease|drop|gain|gap|result|trend|"
          r"success")
_NO_WAY = r"differences?|effects?|changes?|impact|influence|benefit"  # things that tell no direction
_LITTLE = r"(?:small|tiny|minor|slight|modest|marginal|minimal|minute)"
_SHADE = (r"(?:(?:real|true|actual|visible|measurable|detectable|noticeable|significant|statistical(?:ly)?|significantly|such|whatsoever|"
          r"at all)\s+)*")
# `No effect` as the name of a place on the scale: above it, below it, held against it.
_NOT_NAMED = "".join(f"(?<!{word} )" for word in ("above", "below", "near", "around", "both", "includes", "including",
                                                        "contains", "against", "at"))
_LARGE_ENOUGH = r"(?:large|big|great|strong)\s+enough\s+to\s+(?:matter|count)"
_MATTER = r"(?:(?:that|which)\s+(?:would\s+|really\s+)?(?:matters?|counts?)|(?:large|big|great|strong)\s+enough\s+to\s+(?:matter|count))"

RULES: tuple[Rule, ...] = (
    # Too small to matter, before the words for `no difference` that stand inside it.
    rule("small", rf"(?:no|not any|not an?|without an?|hardly any|any)\s+(?:\w+\s+)?(?:difference|effect|influence)s?\s+"
                  rf"(?:\w+\s+){{0,3}}?{_MATTER}"),
    rule("small", r"too\s+(?:small|little|weak|slight)\s+to\s+(?:matter|count|care|notice|be of (?:any )?use)", turned="matters"),
    rule("small", r"(?:smaller|less|weaker|a smaller one)\s+than\s+(?:what\s+)?would\s+(?:matter|count)"),
    rule("small", r"negligible|trivial|insignificantly small|nothing to (?:care|worry|write home) about", turned="matters"),
    rule("small", rf"(?:{_NO_WAY})(?:\s+of\s+(?:\w+\s+){{1,4}}?|\s+)(?:is|was|are|were|turned out)\s+"
                  rf"(?:only |just |very |rather |quite |really )*{_LITTLE}(?! than)|(?:only |just )?an?\s+(?:very |rather |really )?"
                  rf"{_LITTLE}\s+(?:{_NO_WAY})(?! (?:would|could|can|may|might))", turned="matters"),
    rule("small", r"(?:do|does|did|will|would)(?: not|n't) (?:really )?matter(?! (?:how|what|which|whether|if|when))", "topic"),
    rule("small", r"it (?:does|did|will)(?: not|n't) (?:really )?matter (?:how you|what you|whether you|if you)", turned="small"),
    rule("small", r"(?:about|roughly|nearly|almost|much|practically|more or less)\s+(?:the\s+)?"
                  r"(?:same|equal|alike)|similar(?:ly)?\s+(?:algae|amounts?|cover|growth)|(?:hardly|barely|scarcely)\s+(?:any|differ\w*|"
                  r"less|more|"
                  r"changed?|reduced?)|(?:no|not)\s+(?:big|huge|large|great|much of a|much|meaningful|relevant|important)\s+"
                  r"(?:difference|effect)s?", "topic", "matters"),
    rule("small", r"rules?d? out (?:an?|any)\s+(?:\w+\s+)?(?:effect|difference)\s+(?:as large as|of the size|that matters|larger than|"
                  r"bigger than)"),
    # Nothing at all.
    rule("absence", rf"{_NOT_NAMED}(?:no|zero|without any|not any|nil)\s+{_SHADE}(?:difference|effect|influence|impact|change|benefit|"
                    rf"reduction|"
                    rf"improvement)s?"
                    r"(?!\s+(?:that|which|large|big|of\s+(?:\d|about)))"),
    rule("absence", r"(?:exactly|just|precisely|absolutely)?\s*the\s+(?:very\s+)?same\s+(?:amounts?|algae|cover|\w+\s+cover|growth|result|"
                    r"height|"
                    r"level|in both|under both)|(?:is|are|was|were|looked|stayed|came out)\s+(?:exactly\s+|just\s+|all\s+)?the\s+same(?!\s+"
                    r"(?:trial|day|lamp|size|as no))|identical|equivalent(?! (?:to|of) \d)|no different|indistinguishable", "topic"),
    rule("absence", r"(?:does|do|did|has|had|have|is|was|changes?|changed|brings?|brought|makes?|there is|"
                    r"there's)\s+nothing(?:\s+(?:to it|at all|"
                    r"for|to|about))?(?!\s+(?:is|was|can|more|else|left|follows|about it|new|to do with))|"
                    r"nothing\s+(?:changed|happened|to it)", "topic"),
    rule("absence", r"nothing to it|neither\b[^.;:]{0,40}?\bany (?:difference|effect|influence|impact)"),
    rule("absence", r"useless|pointless|worthless|ineffective|futile|good for nothing|waste of (?:time|money)|no use|zilch|nada|"
                    r"placebo|makes? no odds|myth|debunked|busted"),
    rule("absence", r"(?:do|does|did)(?: not|n't) care"),
    # All of it.
    rule("absolute", r"eliminat\w+|eradicat\w+|vanish\w*|disappear\w*|destroy(?:s|ed|ing)?|kill(?:s|ed|ing)?|wip(?:es?|ed|ing) out|"
                     r"get rid of|gets? rid of|got rid of|algae[- ]free|zero algae|no algae(?: at all| left)?|no more algae|"
                     r"stops? (?:all )?"
                     r"(?:the )?algae|stopped (?:all )?(?:the )?algae|cures?|cured|gone|completely|totally|entirely|spotless",
         "topic"),
    rule("absolute", r"(?:the|a|my|our) (?:\w+ )?(?:cure|remedy|antidote|fix|solution) (?:for|to|against)"),
    # Words for certainty.
    rule("significant", r"(?:statistically\s+)?(?:in|non-?)?significan(?:t|tly|ce)", turned="significant"),
    rule("certainty", r"prov(?:es?|ed|en|ing)|proofs?|definite(?:ly)?|certainly|undoubtedly|without (?:a |any )?doubt|no doubt|beyond "
                      r"(?:a |any |all )?(?:\w+ )?doubt|guarantee[sd]?|scientific(?:ally)?|confirm(?:s|ed|ing)|conclusive(?:ly)?|for sure|"
                      r"fact is|(?:is|it's) a fact|case closed|undeniabl[ey]|irrefutabl[ey]|demonstrat(?:es?|ed) that|now we know|"
                      r"(?:i|we) know (?:that )?(?:it|the|this)|100\s?% sure|95\s?% (?:sure|certain|likely|chance)|settled once|settles it|"
                      r"once and for all|(?:this|that|here) is the truth|the truth is|unquestionabl[ey]|debunks?"),
    rule("certainty", r"(?:it|this)\s+(?:really|actually|simply|just|totally)?\s*(?:works?|worked|helps?|helped)"
                      r"(?!\s+(?:out|with|to (?:see|read|tell|know)))|(?:does|did|do) the (?:trick|job)|(?:will|would) do (?:it|the trick|"
                      r"the job)|success(?:ful(?:ly)?)?"
                      r"|effective(?:ly|ness)?", turned="absence"),
    rule("certainty", r"science (?:says|shows|tells|has spoken)|too (?:large|big|great|clear) to be (?:by )?(?:mere |pure |just )?"
                      r"(?:chance|luck|an accident|a coincidence)|(?:cannot|can't|can not) be (?:just |mere |pure )?(?:chance|luck)|"
                      r"no coincidence|\d\s?(?:%|per cent) chance (?:that )?(?:this|it|the \w+) (?:is|was) (?:just |mere |pure )?"
                      r"(?:luck|chance|by chance)"),
    rule("certainty", r"works?|worked|helps?|helped|working|helping", "arm", "absence"),
    rule("certainty", r"(?:it|this|that)\s+(?:will|would|can|does|did|is going to)\s+(?:really |also |surely )?(?:work|help)|(?:effects?|"
                      r"differences?)\s+(?:is|are|was)\s+"
                      r"(?:very |really )?(?:real|there|no accident)|(?:hates?|hated|loves?|dislikes?) (?:it|this|the|a|an)",
         "", "absence"),
    # For others.
    rule("advice", r"(?:you|everyone|everybody|we all|people|keepers|anyone)(?:\s+(?:really|all|simply|just))?\s+(?:should|must|need to|"
                   r"needs to|"
                   r"have to|ought to|can stop|had better|may stop)|i(?:'d| would)? recommend|we recommend|(?:is|are) recommended|"
                   r"my advice|(?:is|are) a must|must-have|no-brainer|(?:no|every|each) (?:\w+ )?(?:tank|aquarium|keeper) should|"
                   r"worth (?:a try|trying)|do yourself a favou?r|"
                   r"start using|stop using", "topic", turned="advice"),
    rule("advice", r"(?:every|each|all)\s+(?:the\s+)?(?:aquarists?|keepers?|hobbyists?|beginners?|owners?|aquascapers?|of us|of you)\s+"
                   r"(?:should|must|needs? to|ha(?:s|ve) to|ought to)|(?:every(?:one|body)|you all) (?:\w+ ){0,2}?"
                   r"(?:should|must|needs? to|ha(?:s|ve) to|ought to)", turned="advice"),
    rule("advice", r"(?:don't|do not|never|no need to|needs? to) bother(?: with)?|save your money|"
                   r"(?:not|never|n't) worth (?:the|your|my|any) (?:time|money|trouble|effort)|can (?:safely |simply |just )?be "
                   r"(?:ignored|skipped|forgotten)", turned="advice"),
    rule("general", r"always|never|(?<!had )(?:in |for |of )?(?:every|any|all)\s+(?:planted\s+|single\s+)?(?:tanks?|aquariums?|setups?|"
                    r"keepers?)|"
                    r"everywhere|everybody|everyone|nobody (?:ever )?needs|anyone|in general|generally|universal(?:ly)?|"
                    r"in planted (?:tanks|aquariums)|"
                    r"for you(?: too| as well)?|for (?:all|everybody)|your (?:\w+ )?(?:tanks?|aquariums?|plants|algae)|anywhere|"
                    r"no matter (?:which|what|how)|whatever (?:the|your) tank|"
                    r"every ?time|you(?:'ll| will| can| would) (?:also )?(?:get|have|see|find|end up)|"
                    r"(?:will|would|can|going to) (?:\w+ )?(?:give|bring|get|save|spare) you", "claim"),
    rule("winner", r"wins?|won|winning|winners?|benefit(?:s|ed)|improv(?:es|ed)|profit(?:s|ed)|pays off|paid off|the best|beats?|beaten|"
                   r"better|worse|outperforms?|outperformed|superior|inferior|champions?|"
                   r"favourite",
         "topic"),
    rule("winner", r"winners?"),
    # Why.
    rule("cause", r"because of|due to|thanks to|owing to|caus(?:es?|ed|ing)|leads? to|led to|result(?:s|ed) in|made (?:the|it|all)|"
                  r"(?:is|was) (?:why|the reason)|prevent(?:s|ed)?|responsible for", "arm", "absence"),
    # How much it is.
    rule("matters", rf"(?:differences?|effects?|reductions?)\s+{_MATTER}|{_LARGE_ENOUGH}|(?:by )?enough to matter|matters? (?:a lot|"
                    rf"very much)|what a (?:\w+ )?(?:difference|change)|game[- ]?changer|"
                    r"worth (?:it|the \w+)|(?:night and day|world of difference)", turned="small"),
    rule("matters", rf"(?<!as )(?<!twice )(?<!how )(?:{_BIG})\s+(?:(?!a )\w+\s+)?(?:{_THING})", turned="small"),
    rule("matters", rf"(?:differences?|effects?|changes?)\b[^.;:]{{0,24}}\b(?:is|was|were|are|turned out)\s+(?:so |very |really |quite |"
                    rf"just )?(?:{_BIG})(?!\s+(?:unsure|open))",
         turned="small"),
    rule("matters", rf"(?<!how )(?:{_BIG})\s+(?:less|fewer|lower|slower|smaller|more|higher|faster|"
                     r"taller|larger|cleaner|reduced|better)", "topic", "small"),
    rule("matters", r"slash(?:es|ed)?|crush(?:es|ed)?|decimat\w+|plummet(?:s|ed)?|soar(?:s|ed)?|explod(?:es|ed)", "topic"),
    rule("matters", r"(?:massively|dramatically|drastically|hugely|enormously|visibly|clearly|strongly|considerably|substantially|"
                    r"noticeably|"
                    r"so much|by far)(?=\s|[.,!])", "topic", turned="small"),
    # Whether there is one.
    rule("difference", r"there(?:'s| is| was| were| are)(?: indeed| really)? (?:an?|the|some)(?: \w+){0,2} (?:differences?|effects?)|"
                       r"(?:found|find|finds|saw|see|"
                       r"sees|shows?|showed|shown|made|makes?|gave|had|has|have|reveals?|detect(?:s|ed)?)(?: us)? (?:an?|the|some|"
                       r"this)(?: \w+){0,2} "
                       r"(?:differences?|effects?|influence|impact)", turned="absence"),
    rule("difference", r"differs?|differed|(?:is|are|was|were)\s+different", "arm", "absence"),
    rule("difference", r"(?:it )?mattered|(?:is|was) an? effect", turned="absence"),
    rule("difference", r"(?:change|affect|influence|alter)(?:s|d|ed|ing)?(?!\s+(?:tanks?|arms?|units?|after|since|starts?|in the|day|"
                       r"of the|was|is))",
         "measure", "absence"),
)

LESS = (r"less|fewer|lower|smaller|slower|slowly|shorter|thinner|cleaner|(?:stay(?:s|ed)?|more|keeps?|kept|is|are|was|were|looks?|"
        r"looked) clean|reduc(?:es?|ed|ing|tion)|cuts?|cutting|lowers|lowered|lowering|"
        r"drop(?:s|ped|ping)?|fell|falls?|falling|decreas(?:es?|ed|ing)|declin(?:es?|ed|ing)|slow(?:s|ed|ing)?|suppress(?:es|ed|ing)?|"
        r"inhibit(?:s|ed|ing)?|shrinks?|shrank|clearer|weaker|halv(?:es?|ed|ing)|curbs?|curbed|tam(?:es?|ed)|fights?|fought|"
        r"brought \w+(?: \w+)? down|"
        r"down|died|decimat\w+|slash(?:es|ed|ing)?|crush(?:es|ed|ing)?|(?:went|goes|going|came|comes|knocked) (?:way )?(?:down|back)|"
        r"plummet(?:s|ed)?|hold(?:s)? back|held back|keeps? (?:\w+ ){0,2}(?:away|down|off)|kept (?:\w+ ){0,2}(?:away|down|off)")
MORE = (r"more|higher|greater|larger|bigger|faster|quicker|quickly|taller|longer|thicker|denser|increas(?:es?|ed|ing)|rose|rises?|rising|"
        r"boost(?:s|ed|ing)?|doubl(?:es?|ed|ing)|tripl(?:es?|ed|ing)|rais(?:es?|ed|ing)|promot(?:es?|ed|ing)|feeds?|fed|encourag\w+|"
        r"explod\w+|(?:went|goes|going|shot|came) (?:way )?up|climb(?:s|ed)?|soar(?:s|ed)?|grew more|spread(?:s|ing)? more|thriv\w+|"
        r"stronger|greener|redder|lusher")
# Directions that name a doer: the arm did it. `Fell`, `rose`, `dropped` and `gave` tell only what went along with it.
DOING = re.compile(r"(?:reduc|cuts?$|cutting|lower(?:s|ed|ing)|slow(?:s|ed|ing)|suppress|inhibit|halv|curb|tam|fight|fought|slash|crush|"
                   r"decimat|brought|held|hold|keep|kept|knocked|boost|rais|promot|feed|fed$|encourag|doubl|tripl|reduzier|senk|"
                   r"verringer|brems|hemm|förder|steiger|erhöh)", re.IGNORECASE)
# Not a comparison: more tanks, more than ten, more or less, twice more.
_NO_MORE = (r"(?!\s+(?:tanks?|units?|compartments?|pairs|rounds|photos?|days?|weeks?|trials?|steps?|ways?|people|than\s+(?:\d|a|one|two|"
            r"three|the "
            r"trial)|or less|often|likely|on |about|information|precisely|finely|sure|unsure|time|numbers?|exactly|narrow\w*|work|detail))")
LESS_RULE = re.compile(rf"(?<![\w-])(?:{LESS})(?![\w-]){_NO_MORE}", re.IGNORECASE)
MORE_RULE = re.compile(rf"(?<![\w-])(?<!once )(?<!no )(?<!any )(?:{MORE})(?![\w-]){_NO_MORE}", re.IGNORECASE)

# What people like to tell besides, and nothing here measures.
OTHER = re.compile(r"(?<![\w-])(?:healthier|happier|gesünder|munterer|vitaler|lebhafter|"
                   r"(?:more|less) (?:active|vital|stressed|relaxed|natural|stable)|calmer|livelier|"
                   r"(?:better|less|more) (?:colour|color|growth|health|oxygen|smell|maintenance|co2|flow|energy)|cheaper|fewer losses|"
                   r"(?:fish(?:es)?|shrimps?|snails?|inhabitants|animals) (?:(?:is|are|was|were|look(?:ed)?|seem(?:ed)?|got|"
                   r"get) )?(?:\w+ )?"
                   r"(?:happier|healthier|better|livelier|calmer|more|less|active|bred|breed|loved?|like[sd]?|enjoy(?:ed)?))(?![\w-])",
                   re.IGNORECASE)
PART = re.compile(r"(?<!\w)(?:(?:on|by|from|until|after|since) day \d+|in (?:the |its )?(?:last|first|final|second|third|"
                  r"\d+\w*) (?:weeks?|days|"
                  r"month)|in (?:just )?(?:one|two|three|\d+) (?:days|weeks?)|in tanks? [A-Z]{0,2}\d+|tanks? [A-Z]\d*|in week \d+|"
                  r"in the (?:tall|small|left|right|upper|lower|front|back)\w* tanks?|an tag \d+|in becken [A-Z]?\d+)(?!\w)", re.IGNORECASE)
HEADLINE = re.compile(r"(?<!\w)(?:main (?:result|finding|outcome)|primary|answer(?:s|ed)? (?:to )?(?:our|the) question|"
                      r"the result of (?:this|the|our) trial|"
                      r"key (?:result|finding)|hauptergebnis)(?!\w)", re.IGNORECASE)
ORDERS = re.compile(r"^(?:(?:if|when|wenn)\s[^,]*,\s)?"
                    r"(?:so |and |now |then |please |just |go )*(?P<order>use|switch|try|set|go|stop|buy|forget|skip|avoid|run|split|ditch|"
                    r"don't|do not)(?!\w)", re.IGNORECASE)
PLURAL_VERBS = r"(?:reduce|slow|cut|work|help|lower|give|grow|suppress|prevent|stop|increase|improve|fight|inhibit|change|make)"
SINGLE_VERBS = r"(?:reduces|slows|cuts|works|helps|lowers|gives|suppresses|prevents|stops|increases|improves|fights|inhibits|changes|makes)"
