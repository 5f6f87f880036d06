"""Lists of art from spreadsheets: read, matched to our columns, checked row by row, stored all or none."""
