//! Not yet.
pub fn test(_only: Option<&str>) -> anyhow::Result<()> {
    Ok(())
}
pub fn shots() -> anyhow::Result<()> {
    Ok(())
}
