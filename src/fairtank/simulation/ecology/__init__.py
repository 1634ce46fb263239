"""The parts of the tank model: setup.py what stands there, rates.py every rate with its band, pools.py what is followed, light.py
nitrogen.py gases.py plants.py algae.py one topic each, slopes.py all of them together, events.py what hands do, running.py the
integration, measures.py what is read off.
"""
