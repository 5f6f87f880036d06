"""The pages of photographs that measure."""
