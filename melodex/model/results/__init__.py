"""What searches, audits and plans return."""
