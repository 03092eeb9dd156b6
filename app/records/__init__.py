"""Tables, queries and the way between rows and documents."""
