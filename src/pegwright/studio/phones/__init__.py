"""Local sharing: letting phones in, pairing them, and the certificate that they trust."""
