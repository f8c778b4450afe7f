"""Many holds from one file: made side by side, listed, laid on plates, and counted for the shop."""
