"""German words for the most common claims, in the same form as the English ones; what stands here is all that is read in German."""

import re

from fairtank.publish.strength.lexicon import Rule, rule

RULES: tuple[Rule, ...] = (
    rule("small", r"zu (?:klein|gering|wenig|schwach),? um (?:\w+ ){0,4}(?:zählen|gewicht|bedeutung|bedeutsam)|(?:kleiner|"
                  r"geringer),? als (?:\w+ )?"
                  r"(?:zählen|bedeutsam|wichtig)|kein(?:en|e)? unterschied,? der (?:zählt|ins gewicht fällt)|vernachlässigbar"),
    rule("absence", r"kein(?:en|erlei)? unterschied(?!,? der)|keine(?:rlei)? (?:wirkung|veränderung|auswirkung)|keinen (?:einfluss|effekt)|"
                    r"(?:bringt|brachte|bewirkt|bewirkte|nützt|nützte|ändert|änderte|hilft) (?:gar |überhaupt )?nichts|nichts gebracht|"
                    r"wirkungslos|"
                    r"nutzlos|sinnlos|zwecklos|völlig gleich|genau gleich|identisch|gleich viele? algen|mythos|widerlegt"),
    rule("absolute", r"besieg(?:t|te|en)|stopp(?:t|te|en) (?:\w+ )?algen|killt|(?:die|eine) lösung (?:gegen|für)|"
                     r"verschwunden|verschwinden|verschwanden|algenfrei|vernichte[tn]|beseitig(?:t|en|te)|tötet|restlos|keine algen mehr|"
                     r"nie wieder algen"),
    rule("significant", r"(?:statistisch )?(?:nicht )?signifikan(?:t|te|ter|tes|ten|z)", turned="significant"),
    rule("certainty", r"beweis(?:t|en|e)?|bewiesen|zweifellos|zweifelsfrei|ohne (?:jeden )?zweifel|garantier(?:t|en)|eindeutig|bestätigt|"
                      r"wissenschaftlich (?:belegt|bewiesen|gesichert)|mit sicherheit|ganz sicher|fest steht|steht fest|endgültig"),
    rule("certainty", r"wirk(?:t|te|en)|funktionier(?:t|te|en)|hilft|geholfen", turned="absence"),
    rule("general", r"immer|in jedem (?:becken|aquarium)|in allen (?:becken|aquarien)|überall|grundsätzlich|generell|jeder aquarianer|"
                    r"(?:dein(?:em|e)?|euer|eurem|ihrem) (?:becken|aquarium)", "claim"),
    rule("advice", r"(?:du|ihr|sie|man|jeder|alle) (?:solltet|solltest|sollten|sollte|müsst|musst|müssen|muss)|ich empfehle|"
                   r"wir empfehlen|empfehlenswert|lohnt sich (?:nicht )?für|spart? euch das geld", turned="advice"),
    rule("winner", r"sieger|gewinnt|gewann|gewinner|besser|am besten|schlägt|überlegen", "topic"),
    rule("cause", r"wegen (?:der|des|dem)|dank (?:der|des|dem)|verursacht|verhindert|aufgrund|führt(?:e)? zu", "topic", "absence"),
    rule("matters", r"deutlich(?:e|er|en|es)?|erheblich(?:e|er|en|es)?|gewaltig(?:e|er|en|es)?|riesig(?:e|er|en|es)?|massiv(?:e|er|en|es)?|"
                    r"drastisch(?:e|er|en)?|(?<!wie )viel (?:weniger|mehr|niedriger|höher)|spürbar(?:e|er|en|es)?|genug,? um zu zählen|"
                    r"ins gewicht fällt", "topic", "small"),
    rule("difference", r"(?:einen|ein|der) unterschied|unterscheide[nt] sich|unterschieden sich|hat(?:te)? (?:einen )?(?:einfluss|effekt)|"
                       r"hat(?:te)? eine wirkung", turned="absence"),
)
LESS = re.compile(r"(?<!\w)(?:weniger|geringere?r?|niedrigere?r?|langsamer|verringer(?:t|te|n)|reduzier(?:t|te|en)|senk(?:t|te|en)|bremst|"
                  r"bremste|"
                  r"hemmt|hemmte|sank|sinkt|nahm(?:en)? ab|sauberer)(?!\w)(?!\s+(?:becken|tage|fotos))", re.IGNORECASE)
MORE = re.compile(r"(?<!\w)(?:mehr|höhere?r?|schneller|größere?r?|erhöh(?:t|te|en)|steiger(?:t|te|n)|fördert|förderte|stieg|steigt|"
                  r"nahm(?:en)? zu)"
                  r"(?!\w)(?!\s+(?:becken|tage|fotos|als \d|oder weniger))", re.IGNORECASE)
