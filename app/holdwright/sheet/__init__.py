"""The work sheet: one content, drawn as PDF or HTML."""
