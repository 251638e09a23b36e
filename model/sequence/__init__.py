"""What goes on before what, on the bench and on the strongback, and along which way."""
