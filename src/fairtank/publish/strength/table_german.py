"""German words by the part that they play in a claim, in the same form and for the same rules as the English ones."""

ROLES: dict[str, str] = {
    # What holds a sentence together.
    "det": "der, die, das, den, dem, des, ein, eine, einen, einem, einer, eines, mein*, dein*, unser*, euer, eure*, sein, seine, ihr, "
           "ihre, ihren, dieser, diese, dieses, diesem, diesen, jede, jeder, jedes, alle, beide*, so ein, so eine, solche*",
    "here": "mein, meine, meinem, meinen, meiner, unser, unsere, unserem, unseren, unserer, diesen, diesem, dieser, dieses, hier, beide, "
            "beiden",
    "prep": "mit, unter, in, im, an, am, bei, beim, für, von, vom, aus, zu, zum, zur, ohne, durch, während, zwischen, innerhalb, über, "
            "nach, vor, seit, bis, um, gegen, als, je, pro, neben, nahe, ab, auf",
    "conj": "und, oder, aber, dass, welche*, wer, während, wenn, wo, ob, weil, da, als, wie, was, warum, wieso, obwohl, sondern, doch, "
            "denn, bevor, nachdem, bis, seit, sowie, wann",
    "it": "es, das, dies, 's, sie",
    "we": "ich, wir, er, sie, man, jemand, niemand, keiner, mir, mich, uns, euch, ihm",
    "be": "verwandelten sich, ist, sind, war, waren, sein, gewesen, bin, wäre, bleibt, blieb, blieben, geblieben, wurde, wurden, wird, "
          "werden, sah, sahen, sieht, sehen, geworden, worden, =",
    "have": "hat, haben, habe, hatte, hatten, hab, gehabt, bekam, bekamen, kriegte",
    "auxiliary": "kann, können, konnte, konnten, könnte, könnten, soll, sollte, will, wollen, wollte, darf, muss, müssen, mag, würde, "
                 "würden, tut, lässt",
    "adverb": "wirklich, tatsächlich, einfach, nur, wohl, klar, sicher, auch, dann, jetzt, noch, schon, so, zu, ganz, ziemlich, recht, "
              "sehr, sogar, leicht, schnell, endlich, offensichtlich, buchstäblich, wieder, da, hier, halt, eben, mal, ja, nämlich, "
              "eindeutig, bloß, völlig, immerhin, leider, trotzdem, dort, heute, richtig, total, locker, ordentlich, kräftig, damit, "
              "daran, dazu, davon, also, darin, darauf, dagegen, weg, heraus, hinaus",
    "neutral": "zeigte, zeigten, zeigt, gezeigt, endete, endeten, stand, standen, lag, lagen, trug, gemessen, fotografiert, gezählt, "
               "begann, beginnt, becken, tank, tanks, gruppe, gruppen, aquarium, aquarien, seite, arm, arme, hälfte, reihe, bild, bilder, "
               "foto, fotos, film, gab, gibt, ergab, gefragt, frage, fragte, fragten, test, testete, getestet, versuch, verglichen, "
               "vergleich, dauerte, stunde, stunden, tag, tage, tagen, woche, wochen, runde, runden, paar, paare, dosis, stufe, wert, "
               "werte, deckung, bedeckung, wuchs, wuchsen, mehr, weniger, unterschied, wirkung, messung, heißt, bedeutet, geht, ging, "
               "lief, läuft, kam, kamen, nutzt, benutzt, gedauert, angefangen, geendet, gekostet",
    "not": "nicht, nie, niemals, kein, keine, keinen, keinem, keiner, keines, keinerlei, nichts, nix, null, weder, niemand, kaum, ned, "
           "net, nirgends",
    "not_only": "nicht nur, kein zweifel, ohne zweifel, kein wunder",
    "nothing": "nichts, nix, null, gar nichts, rein gar nichts, garnichts, nada, nüscht",
    "zero": "nicht den hauch einer, kein, keine, keinen, keinerlei, null, nicht den geringsten, nicht die geringste, keine spur von, "
            "nicht den hauch von",
    "any": "etwas, irgendetwas, alles, irgendein*, jeglich*, ein, einen, eine",
    # Measures of a claim.
    "thing": "unterschied*, effekt*, wirkung*, veränderung*, auswirkung*, einfluss, einflüsse, verbesserung*, nutzen, rückgang, abnahme, "
             "zunahme, trend*, ergebnis*, erfolg*, vorteil*, plus, vorsprung, abstand",
    "neither_way": "unterschied*, effekt*, wirkung*, veränderung*, auswirkung*, einfluss, nutzen, vorteil*, verbesserung*, abweichung*",
    "trend": "trend*, tendenz*, rückgang, abnahme, zunahme, verbesserung*",
    "big": "groß, große, großer, großen, großes, größer*, riesig*, riesen, gewaltig*, massiv*, deutlich*, erheblich*, drastisch*, "
           "spürbar*, sichtbar*, sichtlich*, enorm*, beeindruckend*, stark, starke, starker, starken, starkes, klar, klare, klarer, "
           "klaren, klares, krass*, viel, wesentlich*, merklich*, bedeutend*, extrem*, wahnsinnig*, unglaublich*, irre, mega, brutal*, "
           "heftig*, ordentlich*, beträchtlich*, himmelweit*, weit, weitaus, eindrucksvoll*, gigantisch*, um längen, um welten, "
           "hammermäßig*, richtig, total, dramatisch*, phänomenal*, überwältigend*, frappierend*, immens*",
    "size_adjective": "groß, große, großer, großes, riesig*, gewaltig*, massiv*, deutlich, deutlicher, erheblich*, drastisch*, spürbar*, "
                      "sichtbar*, enorm*, beeindruckend*, stark, klar, krass*, wesentlich*, merklich*, bedeutend*, extrem*, wahnsinnig*, "
                      "unglaublich*, irre, mega, brutal*, heftig*, beträchtlich*, himmelweit*, gigantisch*, dramatisch*, phänomenal*, "
                      "überwältigend*, immens*, ein hammer, der hammer, wie tag und nacht",
    "boost": "riesenunterschied*, rieseneffekt*, riesenerfolg*, mordsunterschied*, wahnsinnsunterschied*, deutlich*, erheblich*, "
             "gewaltig*, riesig*, massiv*, drastisch*, spürbar*, sichtlich*, enorm*, wie tag und nacht, welten, um längen, um welten, mit "
             "abstand, radikal*, der hammer, gamechanger, ein unterschied wie, spektakulär*, haushoch, was für ein unterschied, welch ein "
             "unterschied, quantensprung, meilenweit, dramatisch*, sieht ein blinder, sieht jeder, sieht jedes kind, lichtjahre, welten "
             "liegen, liegen welten",
    "slash": "zerstört*, zerschmettert*, explodier*, zerlegt*, dezimier*, pulverisier*, einbrechen, eingebrochen, brach ein, vernichtend*",
    "little": "klein, kleine, kleiner, kleinen, kleines, gering*, winzig*, minimal*, schwach*, leicht, leichter, leichte, wenig, "
              "marginal*, bescheiden*",
    "tiny": "klein, kleine, kleiner, kleinen, kleines, gering, geringer, geringen, winzig*, minimal*, schwach, schwacher, schwache, "
            "marginal*, bescheiden*",
    "too": "zu",
    "enough": "genug, ausreichend, groß genug",
    "as_much": "wie, so, doppelt, mal",
    "count": "grenze, schwelle, zähl*, gewicht, bedeutung, bedeutsam, wichtig, interessant, relevant, auffallen, merken, ins gewicht, "
             "eine rolle, rolle, stören, kümmern",
    "mattering": "zählt, ins gewicht fällt, spielt eine rolle, macht was aus, macht etwas aus, macht viel aus, macht einiges aus",
    "negligible": "vernachlässigbar*, nicht der rede wert, kaum der rede wert, so gut wie gleich, so gut wie kein, so gut wie nichts, "
                  "fast nichts, peanuts, nicht weiter wichtig",
    "nearly": "fast, beinahe, ziemlich, kaum, etwa, ungefähr, annähernd, praktisch, so gut wie, mehr oder weniger, nahezu, relativ, recht",
    "alike": "gleich, gleiche, gleichen, gleich viel, gleich viele, ähnlich*, dasselbe, egal",
    "same": "das gleiche, gleiches, gleiche, gleichen, gleich, dasselbe, dieselbe, dieselben, genauso",
    "exact": "genau, exakt, haargenau, völlig, vollkommen, absolut, komplett, total, aufs haar, eins zu eins",
    "identical": "exakt gleich aus, genau so aus, identisch*, haargenau gleich, genau gleich, exakt gleich, völlig gleich, vollkommen "
                 "gleich, absolut gleich, ununterscheidbar, aufs haar gleich, exakt dasselbe, genau dasselbe, exakt dieselbe, genau "
                 "dieselbe, genau die gleiche, gleich viel, gleich viele, kein bisschen anders, ein und dasselbe, gehupft wie gesprungen, "
                 "jacke wie hose, gleichwertig, wie ein ei dem anderen, null komma null",
    "amount": "menge, algen, ergebnis, ergebnisse, höhe, zahl, anzahl",
    "bring": "bringt, brachte, bringen, gebracht, bewirkt, bewirkte, nützt, nützte, nutzt, ändert, änderte, geändert, hilft, half, macht, "
             "machte, tut, tat, hat, taugt, taugte, verändert",
    "happen": "passiert, passierte, geschehen, geändert, getan, verändert, tat sich, tut sich",
    "useless": "nichts dran, nix dran, verschwendet*, verlorene zeit, wirkungslos*, nutzlos*, sinnlos*, zwecklos*, mythos, mythen, "
               "märchen, widerlegt, humbug, quatsch, unsinn, blödsinn, unfug, aberglaube, placebo, für die katz, für den arsch, "
               "vergebens, umsonst, zeitverschwendung, geldverschwendung, rausgeschmissenes geld, schwachsinn, überflüssig, unnötig, "
               "reine zeitverschwendung, bringt's nicht, bringt es nicht, kalter kaffee, verschenkte zeit",
    "fail": "versagt*, scheitert*, gescheitert, reinfall, fehlschlag",
    "care": "kümmer*, interessier*, juckt, jucken, stört, stören, beeindruck*",
    "indifferent": "egal, wurscht, wurst, schnuppe, schnurz, gleichgültig, unbeeindruckt, *egal, *wurscht, *schnuppe",
    "harm": "schadet, schadete, schaden, geschadet, schädlich, nebenwirkung*, nachteil*",
    # All of it.
    "gone": "entfernt, entfernte, entfernen, weggezaubert, algen los, die algen los, *killer, ruhe vor, raus, keine chance, auf der "
            "flucht, besieg*, verschwunden, verschwinden, verschwanden, verschwand, verschwindet, vernicht*, beseitig*, tötet, töten, "
            "tötete, getötet, restlos, vollständig, komplett, weg, platt, algenfrei*, killt, killte, gekillt, ausgerottet, rottet, tot, "
            "geschichte, erledigt, eliminier*, ausgemerzt, ade, blitzblank, blitzsauber, spurlos, vertrieben, vertreibt, vertrieb, "
            "futsch, passé, passee, den garaus, makellos, das ende der, hin, verbannt, gelöst, vergangenheit, ein ende gesetzt, ein ende "
            "bereitet, setzt ein ende, macht ein ende, vom tisch",
    "cure": "lösung, heilmittel, wundermittel, mittel, rezept, geheimrezept, geheimwaffe, waffe, antwort, trick, geheimnis, "
            "allheilmittel, patentrezept, schlüssel, geheimtipp",
    "remedy_for": "gegen, für, zu, zum",
    "bye": "tschüss, tschüß, ade, adieu, adé, ciao, schluss mit, lebt wohl, leb wohl, goodbye, bye bye, auf nimmerwiedersehen, das war's "
           "mit, weg mit",
    "return": "zurück, umstellen, zurückkehren, wechsle, stelle um",
    "never": "nie, nie mehr, niemals, nicht mehr, nimmer",
    "again": "wieder, mehr, je wieder, jemals, überhaupt",
    "free": "frei, freies, freie",
    "halt": "stoppt, stoppte, stoppen, gestoppt, verhindert, verhinderte, verhindern, beendet",
    # How sure.
    "sure": "geben mir recht, gibt mir recht, gab mir recht, der beleg, nicht wiedererkennen, außer frage, alles was ihr braucht, alles "
            "was du braucht, mehr braucht es nicht, naturgesetz*, so einfach, kein wunder, jetzt wisst ihr, lebender beweis, lebende "
            "beweis, und man weiß, beweis, beweise, beweist, bewies, bewiesen, zweifellos, zweifelsfrei, ohne zweifel, ohne jeden "
            "zweifel, kein zweifel, garantier*, garantie, eindeutig*, bestätigt, bestätigen, wissenschaftlich belegt, wissenschaftlich "
            "bewiesen, wissenschaftlich, belegt, mit sicherheit, ganz sicher, fest steht, steht fest, endgültig*, ein für alle mal, "
            "glaubt mir, glaub mir, glauben sie mir, vertraut mir, vertrau mir, ich schwöre, schwöre, versprochen, ich bin überzeugt, "
            "überzeugt, bin mir sicher, bin ich mir sicher, bin sicher, ich bleibe dabei, jede wette, wetten, hundertprozentig*, hundert "
            "prozent, 100 %ig, unbestreitbar, unwiderlegbar, wissen wir jetzt, wissen wir nun, wir wissen jetzt, wissen jetzt, jetzt "
            "wissen wir, fakt ist, fakt, tatsache, die wahrheit ist, fall gelöst, fall erledigt, woran denn sonst, was denn sonst, was "
            "sonst, woran sonst, wer denn sonst, so einfach ist das, punkt aus, basta, definitiv, unumstößlich, unbestritten, keine zwei "
            "meinungen, sonnenklar, glasklar, es ist amtlich, amtlich, das steht, beweisstück, der beweis, kein zufall, lügen nicht, "
            "todsicher, bombensicher, unübersehbar, nicht zu leugnen, nicht zu übersehen, seht selbst, sprechen für sich, spricht für "
            "sich, spricht bände, sprechen bände, ohne wenn und aber, zu hundert prozent, das rätsel ist gelöst, rätsel gelöst, erwiesen, "
            "nachgewiesen, nachweislich, ich wusste es, hab ich's doch gesagt, war ja klar, die sache ist klar, daran gibt es nichts zu "
            "rütteln, nichts zu rütteln, da beißt die maus, weiß auch warum, weiß warum, weiß genau warum",
    "promise": "verspreche, versprochen",
    "chance": "zufall, glück, pech, dusel, glückstreffer",
    "real": "echt, kein zufall, real",
    "works": "zahlt sich, zahlte sich, ausgezahlt, wirkt, wirken, funktioniert, funktionieren, hilft, helfen, bringt's, bringt was, "
             "bringt es, bringt etwas, bringt richtig, bringt viel, bringt echt, klappt, klappen, taugt was, wirksam*, effektiv*, "
             "erfolgreich, lohnt sich, nützt, nutzt was, haut hin, zieht, erfolgsrezept, tut seinen dienst, wirkt wunder, bringt einiges, "
             "hält ihr versprechen, hält sein versprechen",
    "worked": "wirkte, gewirkt, funktionierte, funktioniert hat, half, geholfen, geklappt, klappte, was gebracht, etwas gebracht, nützte",
    "job": "arbeit, dienst, werk, job",
    "significant": "signifikan*, statistisch signifikant",
    "love": "hassen, hasst, lieben, liebt, mögen, mag, fürchten, scheuen, vertragen",
    "science": "wissenschaft, daten, zahlen, statistik, fakten, ergebnisse, beweise, test, versuch, experiment",
    "say_so": "sagen es, sagt es, sprechen, spricht, hat gesprochen, lügen nicht",
    # Other people's tanks, and what they should do.
    "you": "du, ihr, euch, dir, dich, sie, ihnen",
    "your": "dein, deine, deinem, deinen, deiner, eure, eurem, eurer, euren, euer, ihrem, ihrer",
    "people": "du, ihr, sie, man, jeder, alle, keiner, aquarianer*, anfänger*, leute, niemand, wer",
    "every": "jede, jedes, jeder, jedem, jeden, alle, allen, aller, kein, keine, keinem, sämtliche*, egal welches, egal welchem",
    "place": "becken, aquarium, aquarien, tank, tanks, aquarianer*, nano, beckens, aquariums, zuhause, algenproblem, hobby, leben",
    "place_own": "bei dir, bei euch, bei ihnen, zu hause, zuhause, daheim, im eigenen becken, für euch, für dich, in deinem, in eurem, "
                 "bei jedem, bei allen",
    "nobody": "niemand, kein mensch, keiner, kein becken",
    "valid": "gilt, gelten, stimmt, regel, gesetz, trifft zu",
    "good": "gut, wohl",
    "ordinary": "einfach, kurz, lang, neu, vorbei, simpel, billig, günstig, geplant, dunkel, früh, spät, beliebt, alt, üblich, fertig, zu "
                "ende, täglich, automatisch, schwer, leicht, um, an, aus, dran",
    "since": "seitdem, seither, seit damals",
    "surface": "glas, scheibe, scheiben, putzen, kratzen, schaber",
    "backing": "spricht für, sprechen für, sprach für, gibt, stützt, stützen, bestätigt, unterstützt",
    "partly": "teil, teilweise, zum teil, ein bisschen, einige",
    "must": "sollte man, soll, sollte, solltest, solltet, sollten, muss, musst, müsst, müssen, braucht, brauchst, kann vergessen, darf, "
            "könnt vergessen, gehört",
    "need": "braucht, brauchen, profitiert, profitieren, gehört, verdient",
    "advice": "ich empfehle, wir empfehlen, empfehle, empfehlen, empfehlenswert, empfehlung, spart euch, spar dir, sparen sie sich, spart "
              "euch das geld, ein muss, pflicht, mein tipp, mein rat, unbedingt nachmachen, nachmachen lohnt, macht es nach, mach's nach, "
              "macht's nach, probiert es aus, probiert's, worauf wartet ihr, worauf wartest du, das solltet ihr, solltet ihr, solltest "
              "du, müsst ihr, musst du, sollte man, muss man, sollte jeder, muss jeder, ihr werdet staunen, du wirst staunen, könnt ihr "
              "euch sparen, kannst du dir sparen, kann man sich sparen, braucht ihr nicht, braucht kein, brauchst du nicht, braucht "
              "niemand, ihr werdet es nicht bereuen, du wirst es nicht bereuen, finger weg, nachmachen, rate ich, ich rate, lohnt sich "
              "für, tut es mir nach, lasst die finger, lass die finger, solltet ihr auch, am besten macht ihr",
    "bother": "bemühen, verschwenden, verschwendet",
    "order": "stellt, stell, stelle, nimm, nehmt, probiert, probier, versucht, versuch, macht, mach, teilt, teil, kauft, kauf, lasst, "
             "lass, vergiss, vergesst, schaltet, schalte, schalt, spart, spar, setzt, setz, gönnt, gönn, dreht, dreh, baut, bau, ändert, "
             "programmiert, holt, hol, gebt, gib, unterbrecht, unterbrich, fangt, fang, hört, hör, werft, wirf, verzichtet, verzichte, "
             "meidet, dimmt, füttert, düngt, kürzt, kopiert, stellen sie, nehmen sie, probieren sie, schalten sie",
    "lead": "also, und, jetzt, dann, bitte, einfach, leute, los, mal, deshalb, darum, kommt, ja, glaubt mir, freunde, ab heute, nun, "
            "gleich, am besten, tatsächlich, es zeigt sich",
    "prudent": "nachmachen, schließt, schließen, zieht, schluss, schlüsse, glaubt, vertraut, verallgemeinert, übertragt, kopiert",
    "always": "immer, überall, grundsätzlich, generell, jederzeit, jedes mal, jedesmal, ausnahmslos, egal welches, egal wie, egal welche, "
              "egal wie groß, ohne ausnahme, auf der welt, jeder aquarianer, in jeder lage, für alle, für jeden, jeder, allgemein, "
              "allgemeingültig, niemals, keine ausnahmen, keine ausnahme, ganz gleich",
    "will": "wird, werdet, werden, wirst, klappt, gilt, auch",
    "receive": "bekommt, bekommst, kriegt, kriegst, habt, hast, seht, siehst, bekommen, haben, sehen, staunen, merken, sparen, erleben, "
               "putzen, kratzen",
    "give": "bringen, spart, erspart, geben, machen, lösen, befreien",
    # Whose doing it is.
    "means": "uhr, blöcke, zu teilen, unterbrechen, unterbrechung, geteiltes licht, langes licht, lichtpause, licht teilen, beleuchte*, "
             "beleuchtet, dauerlicht, tagesrhythmus, stunden dunkel, licht, beleuchtung, lampe, lampen, zeitschaltuhr, zeitschaltuhren, "
             "siesta, lichtpausen, pause, pausen, mittag, dunkel, dunkelheit, dünger, düngung, filter, strömung, wasserwechsel, futter, "
             "fütterung, rhythmus, beleuchtungszeit, beleuchtungspause, dunkelphase, dunkelpause, methode, umstellung, dosis, schaltuhr",
    "thanks": "wegen, dank, aufgrund, durch, infolge, dankt, verdanke*, verdankt, danke an, kommt von, kommt vom, liegt an, liegt am, lag "
              "an, lag am, es an, es am, die wirkung der, der verdienst",
    "because": "weil, da, denn, deshalb, deswegen, darum, daher",
    "therefore": "deshalb, deswegen, darum, daher, so geht's, so geht das, so geht es, so einfach geht's, so einfach geht das, daran "
                 "liegt's, daran lag's, daran liegt es, daran lag es",
    "causing": "verursach*, führt zu, führte zu, führten zu, der grund, die ursache, ursache, schuld, verantwortlich, sorgt für, sorgte "
               "für, sorgt dafür, sorgte dafür, hat dafür gesorgt, dafür gesorgt, dahinter, steckt dahinter, machte die, bewirkt, "
               "bewirkte, auslöser, erklärt, der held, das geheimnis, zu verdanken, verantwortet, geschafft, bringt die, brachte die",
    "did_it": "war's, war es, ist's, ist es, macht's, macht es, machte es, hat's gemacht, hat es gemacht, hat's gerichtet, hat es "
              "gerichtet, schafft's, hat es geschafft, hat's geschafft, war schuld, ist schuld, bringt's, hat's gebracht",
    "win": "trick, tricks, kniff, die zukunft, segen, fluch, katastrophe, revolution, ein witz, geht über, gehen über, taugt was, taugt, "
           "schlimmer, besseres, in führung, führung, schnitten besser ab, wunder, wundermittel, lebensretter, gewinnt, gewann, gewonnen, "
           "siegt, siegte, gesiegt, sieger, gewinner, sieg, besser, besten, bessere, besseren, schlägt, schlug, geschlagen, überlegen, "
           "vorn, vorne, favorit, rettet, rettete, gerettet, triumph*, punktet, punktete, punkten, abgehängt, schlechter, schlechtere, "
           "siegreich, nase vorn, spitze, führt, gesünder, schöner, hübscher, die nummer eins, übertrifft, übertraf, testsieger, k.o.",
    "winner": "sieger, siegerin, gewinner, gewinnerin, sieg, triumph, testsieger, held, heldin, meister",
    # More and less.
    "less": "weniger, geringer*, niedriger*, langsamer*, sank, sanken, sinkt, sinken, gesunken, nahm ab, nahmen ab, nimmt ab, abgenommen, "
            "sauberer, sauber, sauberere, klarer, kleiner, dünner, kürzer, zurückgegangen, ging zurück, gingen zurück, geht zurück, "
            "rückgang, schrumpf*, ging runter, gingen runter, runter, halbiert, zurück, abgestorben, schwand, schwinden, fiel, fielen, "
            "gefallen, starben, stirbt",
    "lowering": "verringer*, reduzier*, senk*, gesenkt, brems*, ausgebremst, gebremst, hemm*, gehemmt, drück*, gedrückt, unterdrück*, "
                "bekämpf*, dämpf*, gedämpft, halbier*, mindert*, gemindert, verminder*, eindämm*, eingedämmt, dämmt, drossel*, "
                "gedrosselt, schwäch*, geschwächt, zügel*, kürzt, kürzte, in schach, stutz*, hält zurück, zurückgedrängt, drängt, "
                "verlangsam*, begrenz*, hält klein, kleingehalten, klein gehalten, ließ schrumpfen, schlägt, schlug, vermies*, "
                "vergrault*, im zaum, in grenzen",
    "more": "mehr, höher*, schneller*, größer*, stieg, stiegen, steigt, gestiegen, nahm zu, nahmen zu, nimmt zu, zugenommen, länger, "
            "dichter*, grüner, röter, stärker*, üppiger*, wuchert*, gewuchert, explodiert*, verdoppelt, sprießen, sprossen, gedieh*, "
            "gedeih*, hochgeschossen",
    "raising": "erhöh*, steiger*, gesteigert, förder*, gefördert, verdopp*, verdreif*, beschleunig*, verstärk*, begünstig*, "
               "verschlimmer*, verschlechter*, anregt, angeregt, kurbelt, angekurbelt, beflügel*, treibt",
    "much_of": "weiß ich, weiß, weiss, kann ich, becken, tage, tagen, fotos, bilder, als, oder weniger, wochen, runden, paare, versuche, "
               "wiederholungen, zeit, daten, sagen, wissen, erhofft, arbeit, aufwand, oft, wahrscheinlich, auf, dazu, fragen, licht",
    "than": "als",
    "there": "es",
    "find": "gefunden, fanden, fand, sahen, sah, seht, sehen, zeigt, zeigte, zeigten, zeigen, macht, machte, machen, gab, gibt, hat, "
            "hatte, haben, gesehen, gemessen, messbar*, ergab, bringt, brachte",
    "differ": "unterscheide*, unterschieden, anders, verschieden",
    "affect": "beeinflusst*, verändert*, veränderte, ändert, änderte",
    "an_effect": "einen effekt, einen einfluss, eine wirkung, hatte wirkung, zeigt wirkung, zeigte wirkung, hat wirkung, einen "
                 "unterschied, da geht was, tut sich was, hat was gebracht, macht was aus, hat einfluss, hatte einfluss, hat gewirkt",
    "rule_out": "ausschließen, ausgeschlossen",
    "near": "über, unter, nahe, um, gegen, bei, am, ob, gar",
    # What is not asserted.
    "asking": "fragten, fragte, gefragt, fragen, frage, wollten wissen, wollte wissen, wissen wollen, wissen wollten, herausfinden, "
              "neugierig, die frage, unsere frage",
    "hoping": "gegönnt, gerechnet, gewollt, hoff*, gehofft, erhofft, erwart*, vermut*, wünsch*, gewünscht, angenommen, dachte, dachten, "
              "gedacht, hätte gern, hätten gern, würde gern, gerne sagen, gern gesagt, schön gewesen, war sicher, war mir sicher, war "
              "überzeugt",
    "saying": "ist überzeugt, sind überzeugt, ist sich sicher, sind sich sicher, bauch sagt, bauchgefühl, sagt mein bauch, angeblich, "
              "heißt es, behaupt*, man sagt, man liest, man hört, soll angeblich, sagt man, gerücht*, hört man, liest man, sagte mir, "
              "erzähl*, laut, werden sagen, wird sagen, würden sagen, sagen manche, schwören",
    "if": "ob, falls, wenn, sofern, angenommen",
    "know": "sage, behaupte, weiß ich, sagen, weiß, wissen, wusste, klar, sicher, beantworten, beantwortet, antwort, entscheiden, "
            "trennen, unterscheiden, auseinanderhalten, versprechen, garantieren, beurteilen, feststellen, erkennen, ahnung, schlüsse, "
            "lernen, gelernt, ergebnis, schluss, verraten, ableiten, herauslesen, erfahren, schließen, herausgefunden, ablesen, aussage, "
            "behaupten, belegen, festlegen, deuten, geklärt, ermitteln, schlauer, beziffern",
    "unknown": "ungewiss*, unsicher*, unklar*, bleibt offen, offen, sagt noch nichts, kein ergebnis, keine ahnung, wer weiß, so schlau "
               "wie, kann sein, mag sein, reines glück, einfach glück, nur glück, nur zufall, reiner zufall, eine anekdote, anekdote, "
               "enttäuschen, wertlos, verdorben, ungültig, hinfällig, zu wenige, zu klein für, fragt mich nicht, frag mich nicht, steht "
               "in den sternen, keine antwort, keinen befund, kein befund, nicht genau, unentschieden, münzwurf, glückssache, noch "
               "nichts, für die tonne, unbekannt, keine schlüsse, nicht auszuschließen, genauer geht es nicht, in der schwebe, genauso "
               "gut, wacklig*, mit vorsicht",
    "show": "ausschließen, ausgeschlossen, bewiesen, gezeigt, erwiesen, nachgewiesen, widerlegt, heißt, bedeutet, bedeuten, zeigt, "
            "beweist, beweis, beleg, folgt, besagt, belegt, sagt aus",
    "fits": "passt, passen, vereinbar, verträgt sich, genauso gut",
    "design": "bräuchte, bräuchten, würde zeigen, könnte zeigen, hätte zeigen können, gleich behandelt, gleich behandelte, nächste "
              "versuch, nächsten versuch, eine wiederholung, wären nötig, nötig wären, mindestens nötig, von 20 fällen, von 20 mal, hätte "
              "auffallen, wäre verborgen geblieben",
    "hedge": "hauch von hoffnung, andeutung, wäre, wären, hätte, hätten, vielleicht, möglicherweise, könnte, könnten, mag, eventuell, "
             "unter umständen, womöglich, kann sein, wenn überhaupt, denkbar",
    "soft": "scheint, scheinen, schien, wohl, wahrscheinlich, vermutlich, anscheinend, ich denke, ich glaube, ich würde sagen, sieht so "
            "aus, in diesem versuch, in unserem versuch, offenbar",
    # What was not measured.
    "animals": "fische, fischen, fisch, garnelen, schnecken, tiere, pflanzen, bewohner",
    "wellbeing": "entspannt*, fröhlicher, zutraulicher, farbenfroher, gesund, gesünder, munterer, vitaler, lebhafter, glücklicher, "
                 "aktiver, fühlen sich, wohler, ruhiger, besser, lieben, mögen, liebten, mochten, prächtig, prächtiger, schöner, bunter, "
                 "kräftiger",
    "unmeasured": "gesünder, munterer, vitaler, lebhafter, weniger strom, spart strom, weniger arbeit, mehr sauerstoff, stabiler, "
                  "billiger, günstiger",
    "headline": "hauptergebnis, wichtigstes ergebnis, wichtigste ergebnis, unsere frage beantwortet, die frage beantwortet",
    "yes": "ja, jawohl, klar, klaro, jap, jo, absolut, definitiv, auf jeden fall, natürlich, und wie, allerdings, sicher, logisch",
    "nay": "nein, nö, nee, gar nicht, überhaupt nicht, keineswegs, kein bisschen, null, niemals",
    "opening": "kurz, kurzum, kurz gesagt, antwort, die antwort ist, die antwort lautet, spoiler, also, na, ehrlich gesagt, tja, ganz "
               "klar",
}
