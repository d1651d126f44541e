"""Being on time, entered: windows, how early and how late, and how time is lost."""
