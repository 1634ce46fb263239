"""What a kit says of itself, besides the trial folder that it is.

facts     what is known of a trial when its kit is written        licences  under which licence it goes out
crate     RO-Crate metadata                                       miappe    which fields of MIAPPE are filled, and which cannot be
citation  how to cite the trial                                   readme    the text that comes first
words     what a check found, and what became of the photos
"""
