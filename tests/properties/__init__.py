"""Laws of the whole way from a case to an advice, over random books and cases."""
