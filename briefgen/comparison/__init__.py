"""Two plans side by side: what was asked differently first, then what that did, the gravest first."""
