rule { id = "x" }
rule { id = "y", at_least = q "3 bars" }
