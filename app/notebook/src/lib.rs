//! Pure records, stamps and merge. No browser, no swings beyond the record types.
