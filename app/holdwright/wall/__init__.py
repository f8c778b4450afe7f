"""A set on its wall: panels with T-nuts, where each hold hangs, and what is wrong there."""
