"""Methods to workings, trials, concordance, determinations and the chains between them."""
