//! Not yet.
pub fn run(_rest: &[String]) -> anyhow::Result<()> {
    Ok(())
}
