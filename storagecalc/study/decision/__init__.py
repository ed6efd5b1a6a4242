"""Questions asked of an evaluation: needs, verdict, cautions, what matters."""
