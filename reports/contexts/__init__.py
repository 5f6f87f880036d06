"""What sheets and the hanger's phone show, worked out from a signed revision as plain frozen data.

`pieces` sets every hook in rounded numbers, `sheet` the installation sheets, `template` the full-size paper template,
`phone` the job as the phone keeps it, `closing` the close-out record. Nothing here touches the database.
"""
