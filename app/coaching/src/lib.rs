//! Pure rules of coaching: swing check, count. No storage, no browser.
