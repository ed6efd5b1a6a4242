"""How likely drives alone lose what they hold."""
