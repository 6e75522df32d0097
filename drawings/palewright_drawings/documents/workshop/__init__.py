"""``workshop.html``: one file for the phone at the saw, opened without a network.

Everything that is read stands in the page as HTML and SVG, so that a preview which runs no scripts
shows it too. ``workshop.js``, written by hand and taken in whole, keeps the ticks and draws the box
in three dimensions. The page's policy names the one script and the one style sheet by their
SHA-256 and refuses all else.
"""
