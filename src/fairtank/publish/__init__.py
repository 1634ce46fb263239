"""From results to what others can read. Import the file you need; nothing is loaded before that.

report         the report of a trial, HTML and PDF         sentences      a finding in one sentence
findings_file  findings.json                               charts         the house look of every picture
explain        how it was computed, with the numbers       settling_words what would settle it
assumptions    what must hold for it                       phrases        names and small words of every sentence
build_pages    build sheets                                calc_words     a calculator's answer
claim_words    a claim check                               side_effect_words   what a change brings besides itself
consort        what a reader of a trial should be told     pooled_report  the report of several trials of one question
film           time-lapse of all tanks, and its stills     chart_export   charts as pictures to take away, also day by day
site           the public page of a finished trial         video_words    chapters, captions, description, outline
strength       whether a text claims more than a finding   kit            what a kit says of itself
"""
