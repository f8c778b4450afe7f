"""What travels down the pipeline."""
