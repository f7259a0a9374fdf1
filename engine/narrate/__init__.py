"""Narrate: findings to plain sentences, by rules and phrases."""
