using KitMesh.Alerts;
using KitMesh.Domain.Reports;
using KitMesh.Domain.Results;
using KitMesh.Domain.State;

namespace KitMesh.Hub.Views;

/// <summary>What stands: what a hub finds, and what agents told and the hub cannot see.</summary>
internal static class StandingAlerts
{
    /// <summary>Heaviest first, then oldest.</summary>
    public static IReadOnlyList<StandingAlert> Of(AlertBook book, TripState state)
    {
        List<StandingAlert> standing = [.. book.Standing.Select(alert => new StandingAlert(alert, null))];
        HashSet<(string Rule, KitId Subject)> found = [.. standing.Select(alert => (alert.Alert.Rule, alert.Alert.Subject))];
        foreach ((AlertRef told, Stamped<AlertChanged> change) in state.StandingAgentAlerts)
        {
            if (found.Add((told.Rule, told.Subject)))
            {
                AlertWeight weight = AlertCatalogue.All.FirstOrDefault(rule => rule.Name == told.Rule)?.Weight ?? AlertWeight.Act;
                standing.Add(new StandingAlert(new Alert(told.Rule, told.Subject, weight, change.Time, change.Body.Message, ""), told.Node));
            }
        }

        return [.. standing.OrderByDescending(alert => alert.Alert.Weight).ThenBy(alert => alert.Alert.Since)];
    }
}
