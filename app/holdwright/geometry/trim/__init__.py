"""The flat back and its rim."""
