"""What stands beside the pages when a site reaches its host: lean files, headers, an inventory, the change at once."""
