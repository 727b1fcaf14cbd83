rule { id = "view", value = imp.q, [print] = 1 }
