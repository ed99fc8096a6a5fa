using System;
using System.Collections.Generic;
using System.Linq;
using System.Security.Cryptography;
using System.Text;
using RefillPlanner.Core.Ledger;
using RefillPlanner.Core.Planning;
using RefillPlanner.Service.Settings;
using RefillPlanner.Store;

namespace RefillPlanner.Service.Work;

/// <summary>
/// What all plans stand on besides the facts of their patients: the settings of each site, the sites, the products, the devices, and the
/// way in which this version of the program plans. As long as its fingerprint is the same, no plan changes because of it.
/// </summary>
internal static class PlanBasis
{
    /// <summary>The fingerprint: SHA-256 in hexadecimal.</summary>
    public static string Of(Reference reference, PlannerSettings settings)
    {
        var text = new StringBuilder().Append(PatientFigures.Version).AppendLine();
        foreach (var site in InOrder(reference.Sites))
        {
            var policy = settings.PolicyOf(site.Id);
            text.AppendJoin(';', site.ClosedWeekdays).AppendJoin(';', site.ClosedOn).AppendJoin(';', site.CarrierClosedOn).Append(site).AppendLine();
            text.AppendJoin(';', policy.ShipWeekdays).Append(policy).AppendLine();
        }

        foreach (var product in InOrder(reference.Products))
            text.Append(product).AppendLine();
        foreach (var device in InOrder(reference.Devices))
            text.Append(device).AppendLine();
        return Convert.ToHexStringLower(SHA256.HashData(Encoding.UTF8.GetBytes(text.ToString())));
    }

    private static IEnumerable<T> InOrder<T>(IReadOnlyDictionary<string, T> byId) =>
        byId.OrderBy(item => item.Key, StringComparer.Ordinal).Select(item => item.Value);
}
