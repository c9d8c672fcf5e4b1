"""What is typed about a practice and its plan. What a rule forbids is refused by the actions, in the rule's words."""
