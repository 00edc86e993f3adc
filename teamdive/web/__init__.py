"""What every room of the server shares: problems, permissions, the phone's files, the calculations' doors."""
