namespace KitMesh.Alerts;

/// <summary>Every alert rule, in the order of the documentation. A new rule is one file and one line here.</summary>
public static class AlertCatalogue
{
    /// <summary>What an agent judges by itself at each reading, hub or no hub.</summary>
    public static IReadOnlyList<IAlertRule> Guard { get; } =
    [
    ];

    /// <summary>What a hub judges: the guard's rules and those that need more than one device.</summary>
    public static IReadOnlyList<IAlertRule> All { get; } =
    [
        .. Guard,
    ];
}
