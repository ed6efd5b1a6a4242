"""How likely drive failures alone destroy what drives hold."""
