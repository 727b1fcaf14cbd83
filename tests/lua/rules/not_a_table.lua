rule "x"
