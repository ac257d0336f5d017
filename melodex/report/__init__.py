"""Write results as HTML reports, as pictures (of audits and plans), and in words."""
