"""What people type and choose on the designer's and the principal's pages."""
