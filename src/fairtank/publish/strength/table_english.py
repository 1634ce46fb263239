"""English words by the part that they play in a claim: which words name a cause, a certainty, other people's tanks, a size, and so on.

A star stands for any ending. A word may play several parts; what a combination of parts claims, `rules` tells, for every language alike.
"""

ROLES: dict[str, str] = {
    # What holds a sentence together.
    "det": "a, an, the, this, that, these, those, my, our, its, his, her, their, some, such, each, both, all",
    "here": "my, our, these, those, here, both",
    "prep": "with, under, in, on, at, for, by, of, from, to, into, without, during, between, within, across, over, after, before, since, "
            "until, through, about, against, than, versus, vs, like, beside, per, near, behind, above, below, around",
    "conj": "and, or, but, that, which, who, while, when, where, as, if, because, so, than, whether, although, though, yet, until, since, "
            "what, how, why, whereas, after, before",
    "it": "it, this, that",
    "we": "i, we, he, she, they, one, nobody, somebody, someone",
    "be": "turned into, turned, became, went, is, are, was, were, be, been, being, am, 's, 're, isn, aren, wasn, weren, stays, stayed, "
          "turned out, remains, remained, looks, looked, =",
    "have": "has, have, had, 've, got, having",
    "auxiliary": "do, does, did, don, doesn, didn, can, ca, could, couldn, would, wouldn, will, wo, 'll, shall, may, might, must, should, "
                 "to, shouldn, cannot, hasn, haven, hadn",
    "adverb": "really, actually, simply, just, totally, clearly, surely, also, then, now, still, already, so, too, quite, rather, very, "
              "only, even, easily, quickly, finally, certainly, obviously, literally, again, kind of, sort of, out, up, down, back, off, "
              "away",
    "neutral": "showed, show, shows, shown, ended, end, stood, lay, carried, measured, photographed, counted, judged, started, starts, "
               "start, began, begins, tank, tanks, arm, arms, unit, units, side, sides, group, groups, aquarium, aquariums, half, halves, "
               "compartment, compartments, row, column, line, picture, photo, photos, chart, film, dot, dots, mean, means, stands, seen, "
               "see, sees, saw, told, tells, tell, name, named, drawn, interval, estimate, level, levels, value, values, cover, plan, "
               "question, covers, covered, lies, versus, divided, minus, asked, asks, ask, gave, give, gives, test, tests, tested, first, "
               "second, plotted, shaded, compared, compares, compare, lasted, lasts, lasting, h, hour, hours, block, against, day, days, "
               "week, weeks, rounds, round, period, periods, pair, pairs, dose, doses, ladder, steps, step, kept, used, uses, using, use, "
               "lit, grew, reads, read, reading, readings, more, less, lower, higher, effect, effects, difference, differences, arm's, "
               "measure, measures",
    "not": "not, n't, no, never, nor, neither, nothing, none, cannot, hardly, barely, nobody, without any, far from, no one",
    "not_only": "not only, not just, no doubt, no wonder, without a doubt, without any doubt, without doubt",
    "nothing": "zip, nothing, zero, nil, zilch, jack, squat, diddly",
    "zero": "no, zero, nil, without any, not any, not a single, not the slightest, not one bit of",
    "any": "anything, something, everything, any",
    # Measures of a claim: how large, how sure, how wide.
    "thing": "difference*, effect, effects, change, changes, impact, influence*, improvement*, benefit, benefits, reduction*, increase, "
             "decrease, drop, gain, gap, result, trend*, success, consequence*, response*, edge, jump",
    "neither_way": "difference*, effect, effects, change, changes, impact, influence*, benefit, benefits, improvement, reduction, "
                   "consequence*, response",
    "trend": "trend*, tendency, improvement*, reduction*, increase, decrease, drop",
    "big": "big, bigger, biggest, huge, hugely, massive, massively, large, dramatic, dramatically, enormous, enormously, striking, "
           "strikingly, noticeable, noticeably, visible, visibly, impressive, impressively, substantial, substantially, considerable, "
           "considerably, strong, strongly, clear, clearly, obvious, obviously, major, amazing, amazingly, incredible, incredibly, "
           "insane, insanely, great, drastic, drastically, vast, vastly, far, much, way, a lot, lots, so much, tons, loads, heaps, miles, "
           "really, meaningful, meaningfully, crazy, ridiculous, ridiculously, epic, mind blowing, gigantic, stunning, whopping, "
           "colossal, tremendous, unbelievable, a ton, by a mile, sky high, jaw dropping, mad, wild, immense, immensely, staggering, "
           "spectacular, spectacularly",
    "size_adjective": "big, huge, massive, large, dramatic, enormous, striking, noticeable, visible, impressive, substantial, "
                      "considerable, major, amazing, incredible, insane, drastic, vast, gigantic, stunning, whopping, colossal, "
                      "tremendous, unbelievable, epic, ridiculous, mind blowing, crazy, obvious, immense, staggering, spectacular, jaw "
                      "dropping, clear, strong, great, night and day, through the roof, off the charts",
    "boost": "massively, dramatically, drastically, hugely, enormously, visibly, clearly, strongly, considerably, substantially, "
             "noticeably, so much, by far, spectacularly, radically, immensely, night and day, world of difference, worlds apart, game "
             "changer, game changing, what a difference, what a change, off the charts, day and night, have to be blind, be blind not to, "
             "light years, a world apart",
    "slash": "slash, slashes, slashed, decimat*, plummet, plummets, plummeted, soar, soars, soared, explod*, obliterat*, annihilat*, "
             "demolish*, skyrocket*, collaps*, nuke, nukes, nuked, hammer, hammers, hammered, murder, murders, murdered, thrash, "
             "thrashes, thrashed, destroys, destroyed, kicks, kicked, crush*, smash*",
    "little": "small, tiny, minor, slight, modest, marginal, minimal, minute, little, weak, slim",
    "tiny": "small, tiny, minor, slight, modest, marginal, minimal, minute, weak, slim",
    "too": "too",
    "enough": "enough",
    "as_much": "as, twice, how, times",
    "count": "our limit, we set, we had set, bothering, worth mentioning, worth talking about, worth the trouble, matter, matters, "
             "mattered, count, counts, care, notice, use, relevant, important, interesting, decisive, bother about, worry about, care "
             "about, difference in practice",
    "mattering": "matters, mattered, count, counts",
    "negligible": "negligible, trivial, insignificantly small, nothing to care, nothing to worry, nothing to write home about, close "
                  "enough, as good as the same, not worth mentioning, nothing worth mentioning, peanuts, next to nothing, practically "
                  "nothing",
    "nearly": "about, roughly, nearly, almost, much, practically, more or less, hardly, barely, scarcely, pretty much, as good as, kind "
              "of, basically, virtually, hardly any",
    "alike": "same, equal, alike, similar, similarly",
    "same": "same",
    "exact": "exactly, precisely, absolutely, just, perfectly, completely, totally, dead",
    "identical": "exactly alike, just alike, identical, identically, equivalent, no different, indistinguishable, exactly the same, "
                 "precisely the same, the very same, absolutely the same, made no odds, makes no odds, spitting image, dead even, "
                 "completely equal, perfectly equal, exactly equal",
    "amount": "amount, amounts, algae, growth, result, results, height, level, levels, quantity, number",
    "bring": "does, do, did, has, had, have, changes, changed, change, brings, brought, bring, makes, made, affects, affected, achieves, "
             "achieved, accomplished, accomplishes, gets, got",
    "happen": "changed, happened, happens, changes",
    "useless": "useless, pointless, worthless, ineffective, futile, good for nothing, waste of time, waste of money, no use, zilch, nada, "
               "placebo, myth, myths, debunked, busted, snake oil, hogwash, nonsense, a waste, total waste, humbug, superstition, pipe "
               "dream, fairy tale, old wives' tale, hype, nothing to it, bunk, baloney, rubbish, there's nothing in it, there is nothing "
               "in it",
    "fail": "failed, fails, fail, flopped, flop",
    "care": "care, cares, bother, bothers, impress*, mind, react, reacts, reacted, respond, responds, responded, notice, noticed",
    "indifferent": "couldn't care less, could n't care less, unfazed, unimpressed, indifferent, unaffected, unbothered, no effect "
                   "whatever",
    "harm": "harm, harms, harmed, hurt, hurts, damage, damages, damaged, side effect, side effects, downside, downsides, drawback, "
            "drawbacks",
    # All of it.
    "gone": "remove, removes, removed, removing, took care of, all but wiped out, green free, *killer, peace from, killer, on the run, no "
            "chance, eliminat*, eradicat*, vanish*, disappear*, destroy, destroys, destroyed, destroying, kill, kills, killed, killing, "
            "wipe out, wipes out, wiped out, wiping out, wipes, wiped, get rid of, gets rid of, got rid of, getting rid of, cures, cured, "
            "cure, gone, completely, totally, entirely, spotless, banish*, finished off, history, extinct, flawless, pristine, zapped, "
            "purged, dead, end of algae, solved, a thing of the past, defeat*, conquer*, vanquish*, put an end to, puts an end to, "
            "putting an end to, off the table",
    "cure": "cure, remedy, antidote, fix, solution, answer, secret, weapon, key, trick, recipe, miracle, silver bullet, magic bullet, "
            "hack",
    "remedy_for": "for, to, against",
    "bye": "bye, goodbye, farewell, so long, adieu, rip, no more, say goodbye to, zero, goodbye to",
    "return": "back, go back, going back, goes back, switch back, switching back, return, returning",
    "never": "never, no longer",
    "again": "again, any more, anymore, ever again, at all, whatsoever",
    "free": "free",
    "halt": "stop, stops, stopped, halts, halted, ends, prevents, prevented, prevent",
    # How sure.
    "sure": "zero doubt, no doubts, no more questions, beyond dispute, beyond question, proves me right, prove me right, proved me right, "
            "all you need, all it takes, law of nature, that simple, this simple, no wonder, now you know, and you know, living proof, "
            "prove, proves, proved, proven, proving, proof, proofs, definite, definitely, certainly, undoubtedly, without a doubt, "
            "without any doubt, without doubt, no doubt, beyond doubt, beyond any doubt, beyond all doubt, beyond reasonable doubt, "
            "beyond a doubt, guarantee*, scientific, scientifically, confirm, confirms, confirmed, confirming, conclusive, conclusively, "
            "for sure, fact is, a fact, case closed, undeniabl*, irrefutabl*, demonstrates that, demonstrated that, now we know, we now "
            "know, settled once, settles it, settles this, this settles, that settles, settles the, once and for all, is the truth, the "
            "truth is, unquestionabl*, debunks, debunk, trust me, believe me, mark my words, take my word, hands down, end of story, full "
            "stop, nothing else explains, there is no other explanation, no other explanation, science has spoken, i am sure, i am "
            "certain, i'm sure, i'm certain, i'm convinced, i am convinced, convinced, i swear, bet you, bet your, you can bet, the "
            "evidence is in, the verdict is in, the results are in, the jury is in, mystery solved, 100 % sure, unmistakabl*, "
            "indisputabl*, conclusion is clear, speaks for itself, speak for themselves, no way around it, no accident, no coincidence, "
            "no fluke, foolproof, fail safe, bulletproof, ironclad, rock solid, the proof is in, can no longer deny, nobody can deny, no "
            "one can deny, there is no denying, no denying, see for yourself, make no mistake, we cracked, cracked it, cracked the, "
            "nailed it, i knew it, told you so, undisputed, we have shown, we've shown, it is official, it's official, seeing is "
            "believing, no one can tell me, nobody can tell me, science says, science shows, science tells, 100 percent sure, rest "
            "assured, know why, know exactly why",
    "promise": "promise, promised, i swear",
    "chance": "chance, luck, accident, coincidence, fluke, random",
    "real": "real, no accident, genuine, undeniable",
    "works": "works, work, working, helps, help, helping, pays off, delivers, does the trick, does the job, do the trick, do the job, did "
             "the trick, did the job, do wonders, does wonders, works wonders, work wonders, effective, effectively, effectiveness, "
             "success, successful, successfully, can do, is what it takes, is the way to go, rocks, rules, slaps, holds what it promises, "
             "keeps its promise, keeps its promises, lives up to the hype",
    "worked": "worked, helped, paid off, delivered, did wonders, worked wonders",
    "job": "job, magic, trick, thing, work, wonders, bit, part",
    "significant": "significant, significantly, significance, insignifican*, non significant, nonsignificant, statistically significant",
    "love": "hate, hates, hated, love, loves, loved, dislike, dislikes, adore*, enjoys, enjoyed, fear, fears",
    "science": "science, data, numbers, evidence, results, statistics, figures, facts, maths, math, test, trial, experiment",
    "say_so": "say so, says so, say it all, says it all, speak*, don't lie, do n't lie, never lie, agree",
    # Other people's tanks, and what they should do.
    "you": "you, yourself, you all, guys, folks",
    "your": "your",
    "people": "you, everyone, everybody, we all, people, keepers, anyone, aquarist*, hobbyist*, beginner*, owner*, aquascaper*, of us, of "
              "you, keeper, fishkeeper*, newbies, whoever",
    "every": "every, each, any, all, no, everyone's, everybody's, whatever",
    "place": "tank, tanks, aquarium, aquariums, setup, setups, scape, scapes, aquascape*, home, fish tank, aquaria, nano, pond, hobby, "
             "life",
    "place_own": "at home, at your place, in your house, in your living room, on your shelf, for yourself, in your own tank, in your own "
                 "tanks",
    "nobody": "nobody, no one, no tank",
    "valid": "goes for, holds for, hold for, holds true, holds in, true for, true of, applies to, apply to, universal law",
    "good": "good, well, wonders",
    "ordinary": "easy, short, long, new, over, simple, cheap, free, planned, set, dark, early, late, quiet, optional, familiar, old, "
                "common, popular, odd, invisible, automatic, daily, two, two-hour, hard, safe, done, finished, about, on, off, next, "
                "ready, due, worth, sealed, open",
    "since": "ever since, since then, from then on, from that day",
    "surface": "the glass, my glass, our glass, your glass, green glass, clean glass, scrape, scrapes, scraped, scraping, scraper, the "
               "scraper",
    "backing": "back, backs, backed, support, supports, supported, favour, favours, favoured, favor, favors, vindicate, vindicates, "
               "vindicated, speak for, speaks for, in favour of, endorse, endorses",
    "partly": "some of, part of, partly, a bit of, a part of, somewhat",
    "must": "should, must, need to, needs to, have to, has to, ought to, can stop, had better, may stop, can forget, 'd better, gotta, "
            "got to, deserve*, cannot go wrong, want to",
    "need": "need, needs, deserves, deserve, benefits, benefit, profits, profit, requires, loves",
    "advice": "i'd recommend, i would recommend, i recommend, we recommend, recommended, recommend, my advice, a must, no brainer, worth "
              "a try, worth trying, do yourself a favour, do yourself a favor, start using, stop using, you wo n't regret, won't regret, "
              "save your money, save yourself, spare yourself, what are you waiting for, give it a go, give it a try, my tip, pro tip, "
              "top tip, highly recommend*, can be ignored, can safely be ignored, can be skipped, can be forgotten, best thing you can "
              "do, not worth the money, not worth the time, not worth the effort, not worth the trouble, not worth your time, not worth "
              "your money, not worth any effort, never worth the, way forward, do what i did, time to switch, no need to bother, good "
              "idea to, strongly advise, advise, a must have, join the revolution, join the club",
    "bother": "bother, waste",
    "order": "use, switch, try, set, stop, buy, forget, skip, avoid, run, split, ditch, get, give, put, turn, drop, do, copy, install, "
             "add, start, change, adopt, grab, cut, steal, dim, move, throw, toss, program, reset, keep, go for, cancel, bin, chuck, "
             "leave, quit, make",
    "lead": "so, and, now, then, please, just, go, trust me, seriously, guys, folks, instead, well, ok, okay, always, today, come on, "
            "everyone, everybody, friends, simply, better, turns out, as it turns out",
    "prudent": "copy, copying, conclude, read, take, trust, expect, generalise, generalize, believe, draw, blame, thank, bet, rely, run",
    "always": "always, never, everywhere, in general, generally, universal, universally, anywhere, every time, no matter which, no matter "
              "what, no matter how, whatever the tank, whatever your tank, everybody, everyone, anyone, across the board, any day, any "
              "time, anytime, regardless, each time, on the planet, in the world, on earth, the whole hobby, without exception, any "
              "keeper, no exceptions, no exception",
    "will": "will, 'll, can, would, going to, gonna, does, do, 're going to",
    "receive": "get, have, see, find, end up, be, lose, enjoy, gain, scrape, clean, love, notice, thank, experience, save, win, regret, "
               "need",
    "give": "give, bring, get, save, spare, make, solve, cure, clean, fix, transform, rid",
    # Whose doing it is.
    "means": "splitting, pausing, interrupting, split photoperiod, split, two blocks, clock, routine, lamp, lamps, split day, light plan, "
             "light, lights, lighting, timer, timers, photoperiod, photoperiods, noon, midday, nap, siesta, lights out, dark, darkness, "
             "dose, dosing, fertiliser, fertilizer, feeding, filter, flow, water change, water changes, rhythm, light schedule, lunch "
             "break, lunch hour, treatment, regime, method, blocks",
    "thanks": "because of, due to, thanks to, owing to, courtesy of, on account of, by virtue of, credit goes to, thank, blame, the work "
              "of, comes from, came from, all about, attributable to, the merit of, thx to, by the grace of, the power of, the magic of, "
              "a result of, the result of, kudos to, hats off to",
    "because": "because, since, as, 'cause, cuz, which is why, that is why, that's why, so that's why",
    "therefore": "that's what, that is what, this is what, that's how, this is how, that is how, hence, therefore, which is why, that is "
                 "why, that's why, here's how, here is how",
    "causing": "cause, causes, caused, causing, leads to, led to, lead to, results in, resulted in, is why, was why, the reason, "
               "responsible for, responsible, to thank, to blame, did this, did that, deserves the credit, the culprit, the hero, owe, "
               "owes, owed, triggers, triggered, the explanation, explains, the cause, the secret, at work, behind it, behind this",
    "did_it": "did it, did this, did that, made it happen, pulled it off, is it, was it, are to thank, is to thank, was to thank, to "
              "thank, 's it",
    "win": "trick, tricks, hack, hacks, the future, legit, the real thing, pure magic, blessing, disaster, revolution, revolutionary, a "
           "joke, on top, things worse, did better, in the lead, did worse, miracle, life saver, lifesaver, gem, the real deal, top of "
           "the class, win, wins, won, winning, benefits, benefited, improves, improved, profits, profited, beats, beat, beaten, "
           "outperform*, outshine*, superior, inferior, favourite, favorite, ahead, saves, saved, rescues, rescued, tops, trumps, "
           "trounc*, champion, nicer, prettier, healthier looking, outdoes, outdid, in front, leading, leads, first place, rules supreme, "
           "king, queen, the best, best, better, worse, victory, victorious, triumph*, hero, healthier, gold medal, knockout, k.o.",
    "winner": "winner, winners, victory, champion, champions, triumph, knockout, landslide, whitewash, no contest, champ, hero",
    # More and less.
    "less": "less, fewer, lower, smaller, slower, slowly, shorter, thinner, cleaner, drop, drops, dropped, dropping, fell, fall, falls, "
            "falling, decreas*, declin*, shrink, shrinks, shrank, clearer, weaker, down, died, went back, went down, came down, go down, "
            "goes down, goes back, going down, going back, way down, retreat*, reduction, tidier, sparser, lesser, clean, faded, fades, "
            "dwindl*, nosediv*, receded, recedes, stays clean, halved, crystal clear, melted away, sank, sinks, tanked, dying, dies, "
            "plummet*",
    "lowering": "reduce, reduces, reduced, reducing, cut, cuts, cutting, lowers, lowered, lowering, slow, slows, slowed, slowing, "
                "suppress*, inhibit*, halve, halves, halved, halving, curb, curbs, curbed, tame, tames, tamed, fight, fights, fought, "
                "bring down, brings down, brought down, hold back, holds back, held back, keeps away, keeps down, keeps off, kept away, "
                "kept down, kept off, knocked back, slash, slashes, slashed, crush, crushes, crushed, decimat*, starve, starves, starved, "
                "beat back, weaken, weakens, weakened, limit, limits, limited, check, shrinks, stunt, stunts, stunted, choke, chokes, "
                "choked, throttle, throttles, throttled, diminish*, dampen*, tackle, tackles, tackled, keep in check, keeps in check, "
                "kept in check, kept at bay, keeps at bay, control, controls, controlled, prevents, prevented, prevent, stops, stopped, "
                "hinder*, hampers, hampered, trims, trimmed, brought, knocks, knocked, tone down, toned down, cleans, cleaned, clears, "
                "cleared, drove down, drives down, scares, scared, beats, beat, kick, kicks, kicked, eats, ate",
    "more": "more, higher, greater, larger, bigger, faster, quicker, quickly, taller, longer, thicker, denser, increase, increases, "
            "increased, increasing, rose, rise, rises, rising, up, went up, goes up, shot up, came up, going up, climb, climbs, climbed, "
            "soar, soars, soared, grew more, spread more, spreads more, thriv*, stronger, greener, redder, lusher, doubled, tripled, "
            "explod*, extra, fuller, bushier, bloom, bloomed, flourish*, surged, jumped, gained, skyrocket*",
    "raising": "boost, boosts, boosted, boosting, double, doubles, doubled, doubling, triple, triples, tripled, tripling, raise, raises, "
               "raised, raising, promot*, feeds, fed, encourag*, increases, increased, speeds up, sped up, fuel, fuels, fueled, fuelled, "
               "stimulat*, accelerat*, worsen, worsens, worsened, invite, invites, invited, strengthen*",
    "much_of": "tanks, tank, unit, units, compartment, compartments, pairs, rounds, photo, photos, day, days, week, weeks, trial, trials, "
               "step, steps, way, ways, people, often, likely, on, about, information, precisely, finely, sure, unsure, time, number, "
               "numbers, exactly, narrow, narrowly, narrower, work, detail, evidence, data, or less, repeats, months, than ten, than two, "
               "than three, to it, than that, than one, than a, than the trial, than chance, certain, examples, than, questions, thing, "
               "money, episode, videos, effort, reliable, solid",
    "than": "than",
    "there": "there",
    "find": "found, find, finds, saw, see, sees, show, shows, showed, shown, make, makes, made, gave, had, has, have, reveal, reveals, "
            "revealed, detect, detects, detected, spotted, measured, got",
    "differ": "differs, differ, differed, different, differing",
    "affect": "change, changes, changed, affect, affects, affected, influence, influences, influenced, alter, alters, altered",
    "an_effect": "it mattered, mattered, made a difference, makes a difference, is onto something, is an effect, was an effect, had an "
                 "effect, has an effect, have an effect",
    "rule_out": "rule out, rules out, ruled out",
    "near": "above, below, near, around, includes, including, contains, against, at, of",
    # What is not asserted.
    "asking": "ask, asked, asks, asking, wonder, wondered, wondering, want to know, wanted to know, want to see, wanted to see, want to "
              "learn, wanted to learn, want to test, wanted to test, find out, test whether, tested whether, test if, tested if, look "
              "for, looked for, see whether, see if, know whether, know if, know how, tell how, tell whether, tell if, say whether, say "
              "if, say how, our question, the question, aim, aims, aimed, curious",
    "hoping": "wanted, would have liked, rooted for, hope, hoped, hopes, hoping, expect, expected, expects, expectation, expectations, "
              "hypothes*, predict*, suppos*, suspect*, wish, wished, 'd love to, would love to, would like to, 'd like to, dream of, "
              "dreamed of, imagine, guess, guessed, a bet, thought, was sure, was certain, 'd see, would see",
    "saying": "is convinced, are convinced, is sure that, is certain that, my gut says, my gut tells, gut feeling, my heart says, it is "
              "said, is said, was said, says that, said that, say that, people say, claims that, claim that, claimed, claims, claim, told "
              "me, told us, rumour, rumours, rumor, rumors, the idea is, the idea was, supposedly, allegedly, they say, some say, i read "
              "that, the theory is, so called, swears by, folklore, legend has it, you often hear, you hear, will say, might say, would "
              "say, will tell you, may say",
    "if": "whether, if, unless, as if, provided, suppose, assuming",
    "know": "tell, told, say, said, know, known, knows, knew, separate, separated, decide, decided, distinguish, distinguished, judge, "
            "judged, clear, settled, sure, answer, answered, certain, promise, conclude, concluded, found out, find out, explain, give "
            "you an answer, pin down, work out, figure out, predict, claim, claiming, convinced, swear, guarantee, learn, learned, idea, "
            "clue, verdict, telling, saying, conclusion, conclusions, result, answers, finding, read into, lesson, news, worked out, is "
            "worked out",
    "unknown": "unknown, unclear, undecided, unsure, uncertain, open question, remains open, stays open, stay open, left open, leaves "
               "open, still open, is open, keeps it open, no finding, no result, no answer, pure luck, just luck, been luck, could be "
               "luck, may be luck, might be luck, a coin toss, who knows, no idea, no clue, beats me, dunno, jury is still out, "
               "inconclusive, vary too much, differ too much, scatter too much, none the wiser, just an anecdote, an anecdote, only an "
               "anecdote, too few to, too small to tell, too early to, too little to tell, ruined, wasted round, spoilt, spoiled, void, "
               "the question open, could go either way, up in the air, anyone's guess, anybody's guess, your guess is as good as mine, "
               "could be chance, may be chance, might be chance, not enough to tell, don't ask me, do n't ask me, nothing to conclude, "
               "nothing is concluded, nothing can be concluded, nothing to learn, no conclusion, no conclusions, cannot be put in order, "
               "takes more tanks, shaky, grain of salt",
    "show": "mean, means, prove, proves, proven, show, shown, shows, follow, follows, imply, implies, demonstrate, demonstrates, proof, "
            "evidence, rule out, exclude, suggest, suggests, the same as, justify, support, license, cite as proof",
    "fits": "compatible with, consistent with, leaves out, leave out, fit, fits, would fit, rather than, instead of saying",
    "design": "would have to, would need, be needed, would tell, would notice, would narrow, would settle, be noticed, would also, would "
              "show, would make, would probably, could tell, could notice, could show, have been told, that tell one, to tell one, to "
              "tell it, to notice one, to notice it, to tell a, to notice a, smallest difference, smallest effect, difference as large, "
              "differences as large, difference of about, differences of about, effect as large, effects as large, treated alike, like "
              "tanks, like ones, like compartments, like pairs, the next trial, a next trial, next one, a repeat, will be, chance alone, "
              "margin, may end up, might end up, times in 20, times in 5, times in 10, times in 100, would have stayed hidden",
    "hedge": "hint of, a hint, a touch of hope, would have been nice, would have been lovely, would have been great, may, might, could, "
             "perhaps, possibly, maybe, if anything, conceivably, can be",
    "soft": "seem, seems, seemed, probably, likely, i'd say, i would say, i think, i'd guess, apparently, appears, appeared, looks like, "
            "looks as if, in this trial, in our trial, for these tanks, i believe, it looks",
    # What was not measured.
    "animals": "fish, fishes, shrimp, shrimps, snail, snails, inhabitants, animals, critters, plants, plant, livestock",
    "wellbeing": "entspannt, healthier, happier, calmer, livelier, active, vital, stressed, relaxed, breed, breeding, bred, loved, love, "
                 "like, liked, enjoy, enjoyed, thrive, thrived, thriving, better, perkier, brighter, colourful, colorful, happy, healthy",
    "unmeasured": "healthier, happier, calmer, livelier, cheaper, fewer losses, better colour, better color, better growth, better "
                  "health, more oxygen, more active, less active, less stressed, more relaxed, more natural, more stable, less "
                  "maintenance, more co2, less smell, less energy, less co2, better flow, saves electricity, saves energy, saves power",
    "headline": "main result, main finding, main outcome, primary, answers our question, answered our question, answers the question, "
                "answered the question, answer to our question, key result, key finding, the result of this trial, the result of the "
                "trial, the result of our trial, headline result, big finding",
    "yes": "yes, yep, yeah, absolutely, definitely, indeed, sure, totally, you bet, of course, obviously, 100 %, clearly",
    "nay": "no, nope, nah, not at all, not a bit, never",
    "opening": "in a word, in short, short answer, the answer is, answer, spoiler, well, oh, honestly, so, hell, heck, big fat",
}
