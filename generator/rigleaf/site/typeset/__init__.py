"""What every page is set with: addresses, templates, words, terms, cautions and the ways on."""
