"""One piece more: overlap minimisation, by moves and by pushing apart."""
