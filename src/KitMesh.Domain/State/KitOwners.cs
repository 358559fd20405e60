using KitMesh.Domain.Kit;
using KitMesh.Domain.Reports;

namespace KitMesh.Domain.State;

/// <summary>Which team things belong to.</summary>
public static class KitOwners
{
    /// <summary>Which team a name belongs to, where that is declared; a name of two teams belongs to none.</summary>
    /// <param name="kit">What is declared.</param>
    /// <param name="state">Where things are.</param>
    public static IReadOnlyDictionary<string, KitId> Of(IReadOnlyCollection<KitItem> kit, TripState state)
    {
        ArgumentNullException.ThrowIfNull(kit);
        ArgumentNullException.ThrowIfNull(state);
        var owners = new Dictionary<string, KitId?>(StringComparer.Ordinal);
        void Own(KitId item, KitId? team)
        {
            owners[item.Value] = owners.TryGetValue(item.Value, out KitId? known) && known != team ? null : team;
        }

        Dictionary<KitId, KitId> people = kit.OfType<Person>().GroupBy(person => person.Id).ToDictionary(group => group.Key, group => group.First().Team);
        HashSet<KitId> teams = [.. kit.OfType<Team>().Select(item => item.Id)];
        Dictionary<KitId, KitId> banks = kit.OfType<Bank>().GroupBy(bank => bank.Id).ToDictionary(group => group.Key, group => group.First().Team);
        Dictionary<KitId, KitId> sources = kit.OfType<FootageSource>().GroupBy(source => source.Id).ToDictionary(group => group.Key, group => group.First().Team);
        KitId? OfCarrier(KitId? carrier) => carrier is not { } id ? null : teams.Contains(id) ? id : people.TryGetValue(id, out KitId team) ? team : null;
        Dictionary<KitId, KitId?> cases = kit.OfType<Case>().GroupBy(item => item.Id).ToDictionary(group => group.Key, group => OfCarrier(state.HolderOf(group.Key) ?? group.First().Carrier));
        foreach (KitItem item in kit)
        {
            KitId? team = item switch
            {
                Team own => own.Id,
                Person person => person.Team,
                Bank bank => bank.Team,
                Load load => load.Team,
                FootageSource source => source.Team,
                WatchedAgent agent => agent.Team,
                Pack { Bank: { } bank } when banks.TryGetValue(bank, out KitId of) => of,
                Panel panel when banks.TryGetValue(panel.Bank, out KitId of) => of,
                Card { Source: { } source } when sources.TryGetValue(source, out KitId of) => of,
                Drive drive when (state.HolderOf(drive.Id) ?? drive.Case) is { } held => cases.TryGetValue(held, out KitId? of) ? of : OfCarrier(held),
                Case own => cases.GetValueOrDefault(own.Id),
                _ => null,
            };
            if (team is not null)
            {
                Own(item.Id, team);
            }
        }

        return owners.Where(owner => owner.Value is not null).ToDictionary(owner => owner.Key, owner => owner.Value!.Value, StringComparer.Ordinal);
    }
}
