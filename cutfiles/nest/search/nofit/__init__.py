"""How near two shapes may come: no-fit polygons, as regions and as tables of half planes."""
