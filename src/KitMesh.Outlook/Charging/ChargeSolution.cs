namespace KitMesh.Outlook.Charging;

/// <summary>An assignment and what each device gets.</summary>
/// <param name="Outlet">Outlet of each job; -1 for none.</param>
/// <param name="IntoWh">Wh into each job's battery.</param>
/// <param name="Worth">Sum of weight times energy.</param>
/// <param name="FromBankWh">What it takes from the bank.</param>
/// <param name="EnergyBinds">Whether more energy would have done more.</param>
internal sealed record ChargeSolution(int[] Outlet, double[] IntoWh, double Worth, double FromBankWh, bool EnergyBinds)
{
    /// <summary>Worth more, or worth as much and easier on the bank: a messenger does not go on the inverter while a better outlet is idle.</summary>
    internal bool IsBetterThan(ChargeSolution other)
    {
        double alike = 1e-9 * Math.Max(1, Math.Abs(other.Worth));
        return Worth > other.Worth + alike || (Worth >= other.Worth - alike && FromBankWh < other.FromBankWh - 1e-6);
    }
}
