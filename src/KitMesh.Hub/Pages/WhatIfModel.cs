namespace KitMesh.Hub.Pages;

/// <summary>What the page "What if" shows.</summary>
/// <param name="Head">The top of the page.</param>
/// <param name="Flights">Flights a day more.</param>
/// <param name="NoHeater">Whether the heaters stay off.</param>
/// <param name="CloudyDays">Cloudy days from today.</param>
/// <param name="HasDrone">Whether a drone is declared.</param>
/// <param name="Rows">One row a bank; empty when nothing can be computed.</param>
public sealed record WhatIfModel(PageHead Head, int Flights, bool NoHeater, int CloudyDays, bool HasDrone, IReadOnlyList<WhatIfRow> Rows);
