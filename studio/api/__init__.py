"""The studio's part of the API: clients, projects, rooms, walls, items, art, people."""
