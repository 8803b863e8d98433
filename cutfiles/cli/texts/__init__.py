"""What the commands say, as lines to read: sizes, what fabrics give, what to buy, what was made."""
