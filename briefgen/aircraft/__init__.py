"""What an aircraft file answers: one interface, behind it a physical model or the charts of a manual."""
