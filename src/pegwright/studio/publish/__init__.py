"""The printed pattern, its page and its pack, as the maker wants them."""
