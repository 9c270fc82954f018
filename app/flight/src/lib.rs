//! Pure flight of a ball and the set-up search: no I/O, no browser.
