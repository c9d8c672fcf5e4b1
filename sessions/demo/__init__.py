"""The invented club. Entered through the same actions as real data; everything in it is made up."""
