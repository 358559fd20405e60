namespace KitMesh.Outlook.Charging;

/// <summary>An assignment and what each device gets.</summary>
/// <param name="Outlet">Outlet of each job; -1 for none.</param>
/// <param name="IntoWh">Wh into each job's battery.</param>
/// <param name="Worth">Sum of weight times energy.</param>
/// <param name="EnergyBinds">Whether more energy would have done more.</param>
internal sealed record ChargeSolution(int[] Outlet, double[] IntoWh, double Worth, bool EnergyBinds);
