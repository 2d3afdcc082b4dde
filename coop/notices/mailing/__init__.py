"""Mail: from notices that are due to letters that were taken."""
