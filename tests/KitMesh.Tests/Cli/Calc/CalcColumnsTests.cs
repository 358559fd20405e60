using KitMesh.Cli.Commands.Calc;

namespace KitMesh.Tests.Cli.Calc;

/// <summary>Column names are part of the interface: docs/cli.md lists them, scripts rest on them.</summary>
public sealed class CalcColumnsTests
{
    private const string Sun = "utc,lat_deg_north,lon_deg_east,elev_m,pressure_hPa,temp_C,deltaT_s";
    private const string Pack = "chemistry,series,capacity_Ah,R25_ohm,temp_C";

    [Theory]
    [InlineData("sun", Sun, "geometric_elev_deg,apparent_elev_deg,azimuth_deg")]
    [InlineData("sunrise", "utc_date,lat_deg_north,lon_deg_east", "state,sunrise_utc,transit_utc,sunset_utc,day_length_h")]
    [InlineData("sky", Sun + ",model,linke_turbidity", "ghi_Wm2,dni_Wm2,dhi_Wm2,extraterrestrial_horizontal_Wm2")]
    [InlineData("panel", Sun + ",ghi_Wm2,dni_Wm2,dhi_Wm2,tilt_deg,azimuth_deg_panel,albedo,transposition", "poa_Wm2,beam_Wm2,sky_Wm2,ground_Wm2")]
    [InlineData("warm", "C_J_K,UA_W_K,P_W,Tamb_C,T0_C,T1_C", "reachable,tau_s,T_equilibrium_C,t_s,energy_Wh,stored_Wh,lost_Wh")]
    [InlineData("hold", "C_J_K,UA_W_K,P_W,Tamb_C,TL_C,TH_C", "t_on_s,t_off_s,duty,mean_W")]
    [InlineData("parallel", "V1,R1_ohm,V2,R2_ohm,Rlead_ohm", "current_A,bus_V,heat_W,verdict")]
    [InlineData("air", "Wh,kind,count", "verdict,reason,rule_date")]
    [InlineData("pack", Pack + ",soc,power_W", "usable_Wh,soc_left,full_Wh,ocv_V,R_ohm,cutoff_V,charge_lower_C,charge_upper_C,charge_max_A,charge_max_V")]
    [InlineData("charge", Pack + ",soc_from,soc_to,current_A", "allowed,max_A,cc_h,cv_h,total_h,soc_end,reason")]
    [InlineData("loss", "AFR,days,shock_p_per_container,groups,beta", "q_copy,P_loss")]
    public void Columns_OfEveryVerb_AreTheDocumentedOnes(string verb, string inputs, string outputs)
    {
        CalcVerb found = Verb(verb);
        Assert.Equal(inputs.Split(','), found.Inputs.Select(column => column.Name).Take(inputs.Split(',').Length));
        Assert.Equal(outputs.Split(','), found.Outputs);
    }

    [Theory]
    [InlineData("pack", "series", "4.5", "whole number")]
    [InlineData("storage", "channels", "1.5", "whole number")]
    [InlineData("air", "count", "1.5", "whole number")]
    [InlineData("air", "kind", "", "is empty")]
    public void Answer_PartsOfWholeThings_AreRefused(string verb, string column, string text, string said)
    {
        var cells = new Dictionary<string, string>
        {
            ["chemistry"] = "lfp", ["series"] = "4", ["capacity_Ah"] = "60", ["temp_C"] = "5", ["soc"] = "1", ["power_W"] = "20",
            ["sample_rate_Hz"] = "48000", ["bits"] = "24", ["channels"] = "2", ["Wh"] = "99", ["kind"] = "spare", ["count"] = "1",
            [column] = text,
        };

        Verb(verb).Answer(new CalcRow(name => cells.GetValueOrDefault(name)), out string error);

        Assert.Contains(said, error, StringComparison.Ordinal);
        Assert.Contains(column, error, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("5", "20", "1", true, "set it to 6.0 A or less")]
    [InlineData("20", "20", "0.1", true, "already there")]
    [InlineData("20", "5", "1", true, "")]
    [InlineData("-5", "5", "1", false, "no charge at -5.0 °C")]
    public void Charge_TooStrongOrNeedless_SaysWhatToDo(string celsius, string amperes, string to, bool allowed, string said)
    {
        var cells = new Dictionary<string, string>
        {
            ["chemistry"] = "lfp", ["series"] = "4", ["capacity_Ah"] = "60", ["temp_C"] = celsius, ["soc_from"] = "0.2", ["soc_to"] = to, ["current_A"] = amperes,
        };

        CalcAnswer answer = new CalcChargeCommand().Answer(new CalcRow(name => cells.GetValueOrDefault(name)), out string error);

        // LFP from 0 to 10 °C takes a tenth of its capacity: 6 A of 60 Ah (the sheet named in the answer).
        Assert.Equal("", error);
        Assert.Equal(allowed, answer.Cells[0]);
        Assert.Contains(said, (string?)answer.Cells[6] ?? "", StringComparison.Ordinal);
        Assert.Equal(said.Length == 0, answer.Cells[6] is null);
    }

    private static CalcVerb Verb(string name) => name switch
    {
        "sun" => new CalcSunCommand(),
        "sunrise" => new CalcSunriseCommand(),
        "sky" => new CalcSkyCommand(),
        "panel" => new CalcPanelCommand(),
        "warm" => new CalcWarmCommand(),
        "hold" => new CalcHoldCommand(),
        "parallel" => new CalcParallelCommand(),
        "air" => new CalcAirCommand(),
        "pack" => new CalcPackCommand(),
        "charge" => new CalcChargeCommand(),
        "loss" => new CalcLossCommand(),
        _ => new CalcStorageCommand(),
    };
}
