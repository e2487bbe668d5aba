"""The report on an answer: one content, written as a page of HTML and as PDF."""
