"""What stands between the network and the pages, each a plain ASGI layer in a module of its own."""
