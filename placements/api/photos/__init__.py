"""The API of photographs that measure."""
