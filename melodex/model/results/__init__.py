"""Records that searches, audits and plans return."""
