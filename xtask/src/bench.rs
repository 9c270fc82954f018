//! Not yet.
pub fn bench() -> anyhow::Result<()> {
    Ok(())
}
