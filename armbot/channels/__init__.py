"""Ways a message comes in and a reply goes out; none of them decides anything."""
