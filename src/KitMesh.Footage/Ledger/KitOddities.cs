using KitMesh.Domain.Reports;

namespace KitMesh.Footage.Ledger;

/// <summary>Oddities of drives and cases: swapped, reformatted, cloned, put into a case that nobody declared.</summary>
internal sealed class KitOddities(LedgerFacts facts, Moment moment, KitView kit, IReadOnlyList<DriveView> drives)
{
    public void AddTo(OddityList list)
    {
        foreach (DriveView drive in drives)
        {
            foreach ((PackedStamp stamp, string from, string to) in drive.Swaps())
            {
                list.Add(stamp, drive.Name, null, () =>
                    $"{drive.Name} was identity {from} and is {to} since: swapped for another drive with the same label, or reformatted. Copies proven on {from} do not count on {to}");
            }

            if (drive.SharedWith is not null && drive.LastState is { } last)
            {
                list.Add(last.Stamp, drive.Name, null, () => drive.Doubt!);
            }

            foreach ((PackedStamp stamp, DriveState fact) in drive.Drive.States.Where(state => moment.Heeds(state.Stamp.Ticks)))
            {
                if (fact.Capacity.Value < 0 || fact.Free.Value < 0 || fact.Free.Value > fact.Capacity.Value)
                {
                    list.Add(stamp, drive.Name, null, () =>
                        $"{drive.Name} reports {fact.Free.Value} bytes free of {fact.Capacity.Value}: impossible, not used");
                }
            }
        }

        foreach ((PackedStamp stamp, KitDeclared declared) in kit.Refused)
        {
            list.Add(stamp, declared.Item.Id, null, () =>
                $"{declared.Item.Id} was declared by {facts.Key(stamp).Origin.Node} without a keeper's right: it changes nothing here");
        }

        HashSet<KitId> known = [.. kit.Names, .. drives.Select(drive => drive.Name), .. facts.Cards.Keys];
        foreach ((KitId item, List<(PackedStamp, KitPlaced)> placements) in facts.Kit.Placed)
        {
            foreach ((PackedStamp stamp, KitPlaced placed) in placements)
            {
                if (placed.Into is { } into && moment.Heeds(stamp.Ticks) && !kit.IsDeclaredHolder(into))
                {
                    list.Add(stamp, item, null, () =>
                        $"{item} was put into {into}, which nobody declared as a case, team, person or place: it does not count as a case. Declare it in the trip file");
                }
                else if (!known.Contains(item) && moment.Heeds(stamp.Ticks))
                {
                    list.Add(stamp, item, null, () =>
                        $"{item} is said to be {(placed.Into is { } with ? $"in or with {with}" : "alone")}, but nobody declared {item} and no station saw it: it moves nothing. Is the name right?");
                }
            }
        }
    }
}
