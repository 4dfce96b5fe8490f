"""Gathering: windows of the year, stands that grow again, trunks and what their bark tans."""
