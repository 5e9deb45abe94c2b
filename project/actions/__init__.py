"""What people do to accounts, jobs, files and signatures."""
