"""What the tests stand on: the engine, copies of a database, closed sockets."""
