"""What an author hands out: worksheets and answer keys, pictures for slides, a question bank, notebooks with and without solutions."""
