"""Work behind the pages, which may take minutes and outlives the death of whoever does it.

kinds      the one list of what can be done, with its words
queue      `enqueue` hands in a piece of work, `stop` asks it to end
carrier    the only place that knows the library which keeps the queue
running    one piece of work from its beginning to its end, whatever happens
progress   how far it is, whether it shall stop, when it last lived
pace       how long it may still take
faults     the log of what went wrong inside fairtank
recovery   work of a worker that was killed goes back to the queue; old work is forgotten
worker     `work_once` and `work_forever`
housekeeping  once a day what is long over, long taken away or expired is forgotten
measure, judge, report, even, watch, detect, forecast, taking_in   what each kind does
stored     values of photos become rows while the photos are measured
"""
