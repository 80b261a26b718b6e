"""What eyes see: psychrometric chart, tables, report, widget panels."""
