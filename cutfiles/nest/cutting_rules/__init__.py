"""The rules of cutting: what of cloth and mat may be used, how a piece lies on grain and print."""
