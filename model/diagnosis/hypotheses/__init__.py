"""One hypothesis a file: each has `propose`, which makes from a case what is worth a trial."""
