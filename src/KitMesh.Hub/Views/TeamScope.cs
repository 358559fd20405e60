using KitMesh.Domain.Kit;
using KitMesh.Domain.Reports;
using KitMesh.Domain.State;

namespace KitMesh.Hub.Views;

/// <summary>Which things are one team's. What belongs to nobody, or to the whole trip, is everybody's.</summary>
internal sealed class TeamScope
{
    private readonly KitId? _team;
    private readonly Dictionary<KitId, KitId> _owners = [];

    /// <summary>The scope of a team; of everybody when no team is named.</summary>
    /// <param name="state">The merged state.</param>
    /// <param name="team">The team.</param>
    public TeamScope(TripState state, KitId? team)
    {
        _team = team;
        if (team is null)
        {
            return;
        }

        foreach (KitItem item in state.Kit)
        {
            if (TeamOf(state, item) is { } owner)
            {
                _owners.TryAdd(item.Id, owner);
            }
        }
    }

    /// <summary>Whether something is this team's, or everybody's.</summary>
    public bool Holds(KitId? thing) => _team is null || thing is not { } id || id == _team || !_owners.TryGetValue(id, out KitId owner) || owner == _team;

    private static KitId? TeamOf(TripState state, KitItem item) => item switch
    {
        Team team => team.Id,
        Person person => person.Team,
        Bank bank => bank.Team,
        Load load => load.Team,
        FootageSource source => source.Team,
        WatchedAgent agent => agent.Team,
        Pack { Bank: { } bank } => TeamOfBank(state, bank),
        Panel panel => TeamOfBank(state, panel.Bank),
        Outlet outlet => TeamOfBank(state, outlet.Bank),
        Box box => state.KitOf<Bank>().FirstOrDefault(bank => bank.Box == box.Id)?.Team,
        Card { Source: { } source } => state.KitOf<FootageSource>().FirstOrDefault(one => one.Id == source)?.Team,
        _ => null,
    };

    private static KitId? TeamOfBank(TripState state, KitId name) => state.KitOf<Bank>().FirstOrDefault(bank => bank.Id == name)?.Team;
}
