"""Real browsers on the tablet app, touched by a seeded driver, with an adversary between them and the site."""
