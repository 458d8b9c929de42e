"""The single sums a second person does: each the exact value with the rule of thumb beside it."""
