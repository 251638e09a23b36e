"""What a builder measures with a rule, a tape and a bevel: values, for whoever words or draws them."""
