"""Numbers with units: exact decimals, typed readings, intervals and the words that write them."""
