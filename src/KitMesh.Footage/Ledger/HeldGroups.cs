using KitMesh.Domain;
using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;
using NodaTime;

namespace KitMesh.Footage.Ledger;

/// <summary>Gathers clips that share day, team, drives and card.</summary>
internal sealed class HeldGroups
{
    private readonly Dictionary<(int DayTeam, int Sure, int Made, int Card), Tally> _tallies = [];
    private readonly JudgedLedger _ledger;

    public HeldGroups(JudgedLedger ledger)
    {
        _ledger = ledger;
        for (int at = 0; at < ledger.Entries.Length; at++)
        {
            ref ClipEntry entry = ref ledger.Entries[at];
            (int, int, int, int) key = (entry.DayTeam, entry.SureDrives, entry.MadeDrives, ledger.HeldByCard[at]);
            ref Tally tally = ref System.Runtime.InteropServices.CollectionsMarshal.GetValueRefOrAddDefault(_tallies, key, out bool known);
            if (!known)
            {
                tally.First = at;
            }

            long size = Math.Max(0, entry.Facts.Size);
            tally.Clips++;
            tally.Size += size;
            tally.LengthTicks += Math.Max(0, entry.LengthTicks);
            tally.CopiesMissing += size * entry.CopiesMissing;
        }
    }

    /// <summary>The groups, in the order of their first clip.</summary>
    public ValueList<HeldGroup> ToList() => _tallies
        .OrderBy(entry => entry.Value.First)
        .Select(entry => ToGroup(entry.Key, entry.Value))
        .ToValueList();

    private HeldGroup ToGroup((int DayTeam, int Sure, int Made, int Card) key, Tally tally) => new(
        _ledger.DayTeams[key.DayTeam].Day,
        _ledger.DayTeams[key.DayTeam].Team,
        Names(key.Sure),
        Names(key.Made).Where(drive => !Names(key.Sure).Contains(drive)).ToValueList(),
        key.Card >= 0 ? _ledger.CardNames[key.Card] : null,
        tally.Clips,
        new ByteCount(tally.Size),
        Duration.FromTicks(tally.LengthTicks),
        new ByteCount(tally.CopiesMissing),
        new ClipHash(_ledger.Facts.Clips[_ledger.Entries[tally.First].Facts.Clip]));

    private ValueList<KitId> Names(int set)
    {
        var names = new KitId[_ledger.DriveSets[set].Length];
        for (int i = 0; i < names.Length; i++)
        {
            names[i] = _ledger.DrivesByRank[_ledger.DriveSets[set][i]].Name;
        }

        return names.ToValueList();
    }

    private struct Tally
    {
        public int First;
        public int Clips;
        public long Size;
        public long LengthTicks;
        public long CopiesMissing;
    }
}
