return { name = "neighbour" }
