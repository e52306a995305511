"""Between games: how accurate a bowler is, what it costs, what to practise."""
