"""Reports as HTML, an audit's and a plan's pictures, and the words of both."""
