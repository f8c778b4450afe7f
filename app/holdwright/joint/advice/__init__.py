"""What is said of a joint: findings, the verdict, ways to hold, what to do on the wall; all of it as JSON."""
